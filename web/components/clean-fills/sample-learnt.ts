import type { CleanFills } from '../../../src/contract/learning.ts';

const half = (fills: number, bottles: number, foamy: number, low: number, high: number) => ({
  fills,
  bottles,
  foamy,
  share: (low + high) / 2,
  low,
  high,
});

export const SAMPLE_FEW: CleanFills = {
  line: null,
  otherLineFills: 2,
  unheardFills: 1,
  fewData: true,
  all: half(1, 24, 2, 0.03, 0.3),
  pressure: { kpaGauge: 69, low: 46, high: 92 },
  factors: [],
  suggestion: [
    'Few data: 1 fill with 24 bottles. Until there are more, begin with about 0.69 bar; what suits your line may be anywhere from 0.46 bar to 0.92 bar.',
  ],
};

export const SAMPLE_LEARNT: CleanFills = {
  ...SAMPLE_FEW,
  fewData: false,
  otherLineFills: 0,
  unheardFills: 0,
  all: half(9, 190, 21, 0.07, 0.19),
  factors: [
    {
      name: 'temperature',
      unit: 'Cel',
      limit: 1.6,
      below: half(4, 90, 4, 0.02, 0.14),
      above: half(5, 100, 17, 0.09, 0.3),
      moreFoams: 0.96,
    },
    {
      name: 'pressure',
      unit: 'kPa',
      limit: 71,
      below: half(4, 84, 8, 0.04, 0.2),
      above: half(5, 106, 13, 0.06, 0.23),
      moreFoams: null,
    },
  ],
  suggestion: [
    'Fill at about 0.72 bar: nine times in ten what suits your line lies from 0.63 bar to 0.83 bar.',
    'Fill colder: warm fills foamed more (very likely: 19 times in 20).',
  ],
};

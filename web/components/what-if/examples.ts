import { h } from 'preact';
import type { WhatIfAnswer } from '../../../src/contract/what-if.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Answer } from '../../store/api.ts';
import type { Example } from '../example.ts';
import { PARTLY_KEG } from '../sample-estimates.ts';
import { Forecast } from './forecast.tsx';
import { COMES_IN, PASSES } from './sample-answers.ts';
import { WhatIf } from './what-if.tsx';

const ZONE = 'Europe/Vienna';
const REFUSED: Answer<WhatIfAnswer> = {
  ok: false,
  trouble: { detail: 'not of the expected form', errors: [{ pointer: '/hours', detail: 'must be at most 1440' }] },
};

const asked = (answer: Promise<Answer<WhatIfAnswer>>, workingKpaGaugeMax: number | null = 900) =>
  h(WhatIf, { keg: PARTLY_KEG, units: DEFAULT_UNITS, zone: ZONE, workingKpaGaugeMax, ask: () => answer });

export const examples: readonly Example[] = [
  { name: 'asked', render: () => asked(Promise.resolve({ ok: true, body: COMES_IN })) },
  { name: 'refused', render: () => asked(Promise.resolve(REFUSED)) },
  { name: 'more than is stamped on the keg', render: () => asked(new Promise(() => {}), 40) },
  { name: 'comes into its window', render: () => h(Forecast, { answer: COMES_IN, units: DEFAULT_UNITS, zone: ZONE }) },
  { name: 'passes its window', render: () => h(Forecast, { answer: PASSES, units: DEFAULT_UNITS, zone: ZONE }) },
  {
    name: 'in grams a litre',
    render: () => h(Forecast, { answer: COMES_IN, units: { ...DEFAULT_UNITS, carbonation: 'g/L' }, zone: ZONE }),
  },
];

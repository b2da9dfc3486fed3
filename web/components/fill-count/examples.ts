import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { type CountProps, FillCount } from './fill-count.tsx';

const nothing = (): void => undefined;
const common: CountProps = {
  last: { number: 7, note: 'clean' },
  nextNumber: 8,
  sizesL: [0.5],
  nextSizeL: 0.5,
  units: DEFAULT_UNITS,
  purgeLeftS: null,
  onFull: nothing,
  onNote: nothing,
  onUndo: nothing,
  onSize: nothing,
  onPurge: nothing,
  onStop: nothing,
};

export const examples: readonly Example[] = [
  { name: 'before the first bottle', render: () => h(FillCount, { ...common, last: null, nextNumber: 1 }) },
  { name: 'seven full', render: () => h(FillCount, common) },
  {
    name: 'the last foamed, two sizes, a purge',
    render: () => h(FillCount, { ...common, last: { number: 7, note: 'foamy' }, sizesL: [0.5, 0.33], purgeLeftS: 2 }),
  },
  { name: 'purged', render: () => h(FillCount, { ...common, purgeLeftS: 0 }) },
];

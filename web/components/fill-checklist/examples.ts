import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { sampleKeg } from '../sample-states.ts';
import { FillChecklist } from './fill-checklist.tsx';
import { GROUPS_DURING, groupsAfter, groupsBefore } from './groups.ts';

const keg = sampleKeg({ dissolved: { volumes: 2.47, low: 2.41, high: 2.53 } });
const onTick = (): void => undefined;

export const examples: readonly Example[] = [
  {
    name: 'before',
    render: () =>
      h(FillChecklist, { groups: groupsBefore(keg, 900, DEFAULT_UNITS), ticked: ['eyes', 'filler'], onTick }),
  },
  { name: 'during', render: () => h(FillChecklist, { groups: GROUPS_DURING, ticked: [], onTick }) },
  { name: 'after', render: () => h(FillChecklist, { groups: groupsAfter(keg, DEFAULT_UNITS), ticked: [], onTick }) },
];

import { h } from 'preact';
import type { Probe } from '../../../src/contract/catalogue.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { ProbeList } from './probe-list.tsx';

const probe = (
  quantity: Probe['quantity'],
  value: number | null,
  unit: string,
  state: Probe['state'],
  ageMs: number,
): Probe => ({
  probeId: `left.${quantity}`,
  topic: `probes/left/${quantity}`,
  pointer: null,
  unit: null,
  quantity,
  of: 'left',
  reference: null,
  place: null,
  timeUnit: null,
  availability: null,
  calibration: [],
  lastHeardAt: value === null ? null : new Date(deviceNowMs() - ageMs).toISOString(),
  lastValue: value,
  lastUnit: unit,
  state,
  ageMs,
  usualIntervalMs: 60_000,
  device: null,
  amiss: null,
  doubted: null,
});

export const examples: readonly Example[] = [
  {
    name: 'fresh, late, stale, never heard',
    render: () =>
      h(ProbeList, {
        heading: 'Left keg, Wet Tuesday',
        probes: [
          probe('beer-temperature', 1.4, 'Cel', 'fresh', 12_000),
          probe('headspace-pressure', 0.87, 'bar', 'late', 240_000),
          probe('keg-mass', 24.25, 'kg', 'stale', 9_000_000),
          probe('beer-flow', null, 'L', 'stale', 0),
        ],
        units: DEFAULT_UNITS,
        old: false,
        onRemove: () => Promise.resolve(null),
      }),
  },
];

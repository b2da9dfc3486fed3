import { h } from 'preact';
import type { Probe } from '../../../src/contract/catalogue.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { ProbeList } from './probe-list.tsx';
import { sampleProbe } from './sample-probe.ts';

const probe = (
  quantity: Probe['quantity'],
  value: number | null,
  unit: string,
  state: Probe['state'],
  ageMs: number,
): Probe =>
  sampleProbe({
    probeId: `left.${quantity}`,
    topic: `probes/left/${quantity}`,
    quantity,
    lastHeardAt: value === null ? null : new Date(deviceNowMs() - ageMs).toISOString(),
    lastValue: value,
    lastUnit: unit,
    state,
    ageMs,
  });

const HOUR_MS = 3_600_000;
const ago = (ms: number): string => new Date(deviceNowMs() - ms).toISOString();

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
        onPlace: () => Promise.resolve(null),
      }),
  },
  {
    name: 'offline, stuck, doubted',
    render: () =>
      h(ProbeList, {
        heading: 'Left keg, Wet Tuesday',
        probes: [
          sampleProbe({ state: 'stale', amiss: { kind: 'offline', since: ago(2 * HOUR_MS) } }),
          sampleProbe({ probeId: 'b', state: 'stale', amiss: { kind: 'offline', since: null } }),
          sampleProbe({ probeId: 'c', state: 'stale', amiss: { kind: 'stuck', since: ago(60 * HOUR_MS) } }),
          sampleProbe({ probeId: 'd', doubted: { value: 62, at: ago(60_000) } }),
        ],
        units: DEFAULT_UNITS,
        old: false,
        onRemove: () => Promise.resolve(null),
        onPlace: () => Promise.resolve(null),
      }),
  },
];

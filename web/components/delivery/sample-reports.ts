import type { Delivery } from '../../../src/contract/delivery.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** Invented reports, for examples and tests only. */
const ago = (minutes: number): string => new Date(deviceNowMs() - minutes * 60_000).toISOString();

export const WELL: Delivery = {
  ledger: { received: 15_204, stored: 15_204, duplicates: 0, rejected: 0, waiting: 0 },
  catchUp: null,
  clock: null,
  heldMessages: 0,
  broker: { kind: 'embedded', version: null, trouble: null, audit: [] },
  probes: [
    {
      probeId: 'right.beer-temperature',
      topic: 'probes/right/beer-temperature',
      delivery: 'answered',
      clockOffS: null,
      advice: '',
    },
  ],
  gaps: [],
};

export const IN_NEED: Delivery = {
  ledger: { received: 15_204, stored: 9_101, duplicates: 12, rejected: 1, waiting: 6_090 },
  catchUp: { waiting: 6_090, perSecond: 240, secondsLeft: 26 },
  clock: null,
  heldMessages: 0,
  broker: {
    kind: 'elsewhere',
    version: 'mosquitto version 2.0.21',
    trouble: null,
    audit: [
      {
        name: 'session',
        state: 'good',
        message: 'The broker knew us and handed on what came meanwhile.',
        setting: null,
      },
      {
        name: 'persistence',
        state: 'unknown',
        message: 'Whether the broker writes to disk what waits for us shows only when it is started again.',
        setting: 'persistence true\nautosave_interval 1\nautosave_on_changes true',
      },
      {
        name: 'dropped',
        state: 'act',
        message: 'The broker threw away 40 messages that waited.',
        setting: 'max_queued_messages 0\nmax_queued_bytes 0',
      },
    ],
  },
  probes: [
    ...WELL.probes,
    {
      probeId: 'right.headspace-pressure',
      topic: 'probes/right/headspace-pressure',
      delivery: 'can-be-lost',
      clockOffS: null,
      advice: 'Let it publish at QoS 1: what it sends while the connection is away is lost.',
    },
    {
      probeId: 'left.beer-temperature',
      topic: 'probes/left/beer-temperature',
      delivery: 'answered',
      clockOffS: 3_600,
      advice: 'Set the clock of the device: all its readings are filed at the wrong time.',
    },
    {
      probeId: 'left.headspace-pressure',
      topic: 'probes/left/headspace-pressure',
      delivery: 'unknown',
      clockOffS: null,
      advice: '',
    },
  ],
  gaps: [
    { from: ago(60), to: ago(53), cause: 'service-down' },
    { from: ago(1_500), to: ago(1_440), cause: 'broker-dropped' },
    { from: ago(3_000), to: ago(2_900), cause: 'session-lost' },
    { from: ago(5_000), to: ago(4_990), cause: 'service-down' },
    { from: ago(6_000), to: ago(5_990), cause: 'service-down' },
    { from: ago(7_000), to: ago(6_990), cause: 'service-down' },
  ],
};

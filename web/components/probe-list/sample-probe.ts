import type { Probe } from '../../../src/contract/catalogue.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** The beer thermometer of the left keg, heard a moment ago. */
export const sampleProbe = (change: Partial<Probe> = {}): Probe => ({
  probeId: 'left.beer-temperature',
  topic: 'probes/left/beer-temperature',
  pointer: null,
  unit: null,
  quantity: 'beer-temperature',
  of: 'left',
  reference: null,
  place: null,
  timeUnit: null,
  availability: null,
  calibration: [],
  lastHeardAt: new Date(deviceNowMs() - 5000).toISOString(),
  lastValue: 3.1,
  lastUnit: 'Cel',
  state: 'fresh',
  ageMs: 5000,
  usualIntervalMs: 60_000,
  device: null,
  amiss: null,
  doubted: null,
  ...change,
});

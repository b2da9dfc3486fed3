import type { GasCheckReport, GasCheckResult, RunningGasCheck } from '../../../src/contract/gas-check.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** Invented answers of the service about gas checks, for examples and tests only. */
const HOUR_MS = 3_600_000;
const ago = (hours: number): string => new Date(deviceNowMs() - hours * HOUR_MS).toISOString();

const HOURS = 2.2;
const steps = Array.from({ length: 45 }, (_, index) => (index * HOURS) / 44);
/** How far the pressure has gone to where the beer holds it. */
const settled = (hour: number): number => 1 - Math.exp(-hour / 1.4);

const course: RunningGasCheck['course'] = {
  time: steps.map((hour) => ago(HOURS - hour)),
  headspaceKpaGauge: steps.map((hour) => 78 - 9 * settled(hour)),
  volumes: steps.map((hour) => 2.36 - 0.03 * settled(hour)),
  low: steps.map((hour) => 2.17 + 0.1 * settled(hour)),
  high: steps.map((hour) => 2.55 - 0.16 * settled(hour)),
};

export const RUNNING: RunningGasCheck = {
  startedAt: ago(HOURS),
  shaken: false,
  hours: HOURS,
  kpaGaugeBefore: 78,
  kpaGaugeNow: 70.9,
  bandBefore: { volumes: 2.36, low: 2.17, high: 2.55 },
  bandNow: { volumes: 2.34, low: 2.25, high: 2.42 },
  leak: 'none',
  tightness: null,
  enough: false,
  says: 'The pressure falls, and ever more slowly: the beer holds less than the gas pressed with.',
  course,
};

export const FIRST_RESULT: GasCheckResult = {
  startedAt: ago(70),
  endedAt: ago(66),
  shaken: false,
  kpaGaugeBefore: 69,
  kpaGaugeAfter: 48,
  bandBefore: { volumes: 1.72, low: 1.4, high: 2.05 },
  bandAfter: { volumes: 1.86, low: 1.79, high: 1.93 },
  leak: 'none',
  tightness: null,
  says: 'The beer held 1.86 volumes, well below its window.',
};

const SHAKEN_RESULT: GasCheckResult = {
  ...FIRST_RESULT,
  startedAt: ago(30),
  endedAt: ago(29),
  shaken: true,
  kpaGaugeBefore: 69,
  kpaGaugeAfter: 61,
  bandBefore: { volumes: 2.1, low: 1.95, high: 2.25 },
  bandAfter: { volumes: 2.15, low: 2.1, high: 2.2 },
  leak: 'suspected',
  says: 'The beer held 2.15 volumes, a little below its window.',
};

const BEFORE: GasCheckReport = {
  kegId: 'right',
  at: ago(0),
  batchId: 'b1',
  running: null,
  plusMinusNow: 0.19,
  expected: [
    { hours: 1, shaken: false, plusMinus: 0.14 },
    { hours: 4, shaken: false, plusMinus: 0.08 },
    { hours: 12, shaken: false, plusMinus: 0.06 },
    { hours: 1, shaken: true, plusMinus: 0.05 },
  ],
  advice: 'Four hours are worth it: after that the pressure tells little more.',
  results: [],
};

export const REPORTS = {
  before: { ...BEFORE, results: [SHAKEN_RESULT, FIRST_RESULT] },
  first: BEFORE,
  running: { ...BEFORE, running: RUNNING, results: [FIRST_RESULT] },
  enough: {
    ...BEFORE,
    running: { ...RUNNING, enough: true, leak: 'likely', says: 'The pressure stands still at 69 kPa.' },
  },
  started: {
    ...BEFORE,
    running: {
      ...RUNNING,
      startedAt: ago(0.02),
      hours: 0.02,
      kpaGaugeNow: 78,
      bandNow: RUNNING.bandBefore,
      says: 'The gas was closed just now: the pressure says nothing yet.',
      course: { time: [], headspaceKpaGauge: [], volumes: [], low: [], high: [] },
    },
  },
  noProbe: {
    ...BEFORE,
    plusMinusNow: 0.4,
    expected: [],
    advice: 'Without a pressure probe on this keg a check tells nothing: place one first.',
  },
  empty: {
    ...BEFORE,
    batchId: null,
    plusMinusNow: null,
    expected: [],
    advice: 'About four hours show a leak that matters.',
  },
  tight: tightness('tight', 0.05, 0.12, null, 'The pressure holds.'),
  early: tightness('too-early', 0.6, 0.9, 3, 'The pressure falls a little, as it also does while gas cools.'),
  leaking: tightness('leaks', 2.4, 0.5, null, 'The pressure falls steadily, and the temperature does not.'),
} as const satisfies Record<string, GasCheckReport>;

function tightness(
  finding: NonNullable<RunningGasCheck['tightness']>['finding'],
  kpaPerHour: number,
  kpaPerHourPlusMinus: number,
  hoursLeft: number | null,
  says: string,
): GasCheckReport {
  const running: RunningGasCheck = {
    ...RUNNING,
    kpaGaugeNow: 78 - kpaPerHour * HOURS,
    bandBefore: null,
    bandNow: null,
    leak: null,
    tightness: { finding, kpaPerHour, kpaPerHourPlusMinus, hoursLeft },
    enough: hoursLeft === null,
    says,
    course: {
      ...course,
      headspaceKpaGauge: steps.map((hour) => 78 - kpaPerHour * hour),
      volumes: steps.map(() => null),
      low: steps.map(() => null),
      high: steps.map(() => null),
    },
  };
  return { ...BEFORE, batchId: null, plusMinusNow: null, expected: [], advice: '', running };
}

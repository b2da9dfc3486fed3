import type { Check, KegState, Notice } from '../../src/contract/state.ts';
import { deviceNowMs } from '../store/clock.ts';
import { sampleKeg, withVerdict } from './sample-states.ts';

/** Invented kegs of which the service estimates what is in the beer, from the first day to past the window. */
const HOUR_MS = 3_600_000;
const ago = (hours: number): string => new Date(deviceNowMs() - hours * HOUR_MS).toISOString();

const BELIEF: NonNullable<KegState['belief']> = {
  leak: 'none',
  leakProbability: 0.02,
  airKpa: 1.5,
  probeZeroKpa: 0.4,
  probeZeroPlusMinusKpa: 2.1,
  insideProbability: 0.62,
  aboveProbability: 0.01,
  passesTopInHours: null,
};

/** Carbonation as the service judges it once it can tell what is in the beer. */
function judged(keg: KegState, state: Check['state'], advice: string): KegState {
  const band = keg.dissolved;
  const measured = band === null ? null : `${band.low.toFixed(2)} to ${band.high.toFixed(2)} volumes`;
  const checks = keg.verdict.checks.map((check) =>
    check.name === 'carbonation' ? { ...check, state, measured, advice } : check,
  );
  return { ...keg, belief: BELIEF, verdict: { ...keg.verdict, checks } };
}

/** Filled flat yesterday: nobody knows much yet, and the band says so. */
export const FIRST_DAY_KEG = withVerdict(
  judged(
    sampleKeg({
      filledAt: ago(26),
      dissolved: { volumes: 1.15, low: 0.8, high: 1.6 },
      readyIn: { hours: 138, lowHours: 92, highHours: 168 },
      coldIn: null,
      beerTemperatureC: 1.9,
    }),
    'wait',
    'Time alone will do it: inside the window in about 6 days. A gas check would tell now.',
  ),
  'wait',
  'Time alone will do it: inside the window in about 6 days.',
);

/** After a gas check of four hours: a small drop instead of a leaf. */
export const CHECKED_KEG = withVerdict(
  judged(
    sampleKeg({
      kegId: 'middle',
      name: 'Middle keg',
      batchName: 'Borrowed Ladder',
      style: 'wheat',
      dissolved: { volumes: 2.17, low: 2.12, high: 2.22 },
      readyIn: { hours: 31, lowHours: 22, highHours: 44 },
      coldIn: { hours: 5, lowHours: 4, highHours: 7 },
    }),
    'wait',
    'Time alone will do it: inside the window in about 31 h.',
  ),
  'wait',
  'Time alone will do it: inside the window in about 31 h.',
);

/** The band reaches into the window, and nobody can be sure yet. */
export const PARTLY_KEG = withVerdict(
  judged(
    sampleKeg({
      kegId: 'right',
      name: 'Right keg',
      batchName: 'Slow Bicycle',
      style: 'porter',
      beerTemperatureC: 1.6,
      dissolved: { volumes: 2.36, low: 2.17, high: 2.55 },
      readyIn: { hours: 60, lowHours: 0, highHours: 130 },
      coldIn: null,
      advisedKpaGauge: null,
    }),
    'wait',
    'Likely right, and surer from day to day. A gas check would tell now.',
  ),
  'wait',
  'Likely right, and surer from day to day. A gas check would tell now.',
);

/** Sure, and right. */
export const SURE_KEG = withVerdict(
  judged(
    sampleKeg({
      beerTemperatureC: 1.5,
      dissolved: { volumes: 2.44, low: 2.38, high: 2.5 },
      readyIn: { hours: 0, lowHours: 0, highHours: 0 },
      coldIn: { hours: 0, lowHours: 0, highHours: 0 },
    }),
    'pass',
    '',
  ),
  'ready',
  'Fill whenever you like. It holds here.',
);

/** Past the window, and heading further. */
export const OVER_KEG = withVerdict(
  judged(
    sampleKeg({
      kegId: 'right',
      name: 'Right keg',
      batchName: 'Slow Bicycle',
      style: 'porter',
      beerTemperatureC: 1.4,
      headspaceKpaGauge: 96.2,
      equilibriumVolumes: 3.02,
      dissolved: { volumes: 2.81, low: 2.71, high: 2.92 },
      coldIn: null,
    }),
    'act',
    'Past the window and heading for 3.02 volumes. Turn the regulator down, then vent a little at a time.',
  ),
  'act',
  'Past the window and heading for 3.02 volumes. Turn the regulator down, then vent a little at a time.',
);

export const SHUT_NOTICE: Notice = {
  name: 'gas-shut',
  message: 'The pressure has fallen by 6 kPa since 13:10, as it does when the gas is closed. Nobody entered that.',
  advice: 'If you closed it, enter it: then the pressure tells what is in the beer.',
  entry: { kind: 'gas-closed', at: ago(1) },
};

export const LEAK_NOTICE: Notice = {
  name: 'leak-likely',
  message: 'The pressure falls faster than beer can take gas up: very likely, 19 times in 20, the keg leaks.',
  advice: 'Brush soapy water on lid, posts and valve, and look for bubbles. Air the room first.',
  entry: null,
};

export const NOTICED_KEG: KegState = { ...PARTLY_KEG, notices: [SHUT_NOTICE, LEAK_NOTICE] };

export const IN_CHECK_KEG: KegState = {
  ...PARTLY_KEG,
  gas: 'closed',
  gasCheck: { since: ago(2.2), shaken: false },
};

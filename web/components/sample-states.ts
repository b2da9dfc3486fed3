import type { Episode } from '../../src/contract/alert.ts';
import type { Check, KegState } from '../../src/contract/state.ts';
import { deviceNowMs } from '../store/clock.ts';

/** Invented kegs of a village club's garage fridge, for examples and tests only. */
const ago = (ms: number): string => new Date(deviceNowMs() - ms).toISOString();
const HOUR_MS = 3_600_000;

function input(
  quantity: 'beer-temperature' | 'headspace-pressure',
  value: number,
  ageMs: number,
): KegState['inputs'][0] {
  return {
    quantity,
    probeId: `sample.${quantity}`,
    value,
    unit: quantity === 'beer-temperature' ? 'Cel' : 'kPa',
    at: ago(ageMs),
    ageMs,
    state: 'fresh',
    freshForMs: 120_000,
    lateForMs: 480_000,
  };
}

type Limits = Pick<Check, 'wanted' | 'wantedLow' | 'wantedHigh'>;
const atMost = (wanted: number): Limits => ({ wanted, wantedLow: null, wantedHigh: wanted });
const atLeast = (wanted: number): Limits => ({ wanted, wantedLow: wanted, wantedHigh: null });
const between = (wanted: string, wantedLow: number, wantedHigh: number): Limits => ({ wanted, wantedLow, wantedHigh });
const said = (wanted: string | null): Limits => ({ wanted, wantedLow: null, wantedHigh: null });

const check = (
  name: Check['name'],
  state: Check['state'],
  measured: Check['measured'],
  limits: Limits,
  unit: string | null,
  advice = '',
): Check => ({ name, state, measured, ...limits, unit, advice });

const SAMPLE_CHECKS: readonly Check[] = [
  check(
    'carbonation',
    'unknown',
    'heading for 2.41 volumes',
    between('2.30 to 2.60 volumes', 2.3, 2.6),
    '{volumes}',
    'How much of it is in the beer already cannot be told yet.',
  ),
  check('overcarbonation-risk', 'pass', 2.41, atMost(2.6), '{volumes}'),
  check('cold', 'wait', 3.1, atMost(2), 'Cel', 'Cold enough in about 5 h.'),
  check('freezing-margin', 'pass', 3.4, atLeast(1), 'Cel'),
  check('serving-pressure', 'pass', 78, between('55 to 83 kPa', 55, 83), 'kPa'),
  check('steady', 'pass', 'steady for 30 min', said('steady for 30 min'), null),
  check('at-rest', 'pass', 25, atLeast(12), 'h'),
  check('probes-fresh', 'pass', 'all 2', said('heard lately'), null),
  check('purge-pressure', 'not-watched', null, said('about 103 kPa'), 'kPa'),
  check('bottles-cold', 'not-watched', null, atMost(4), 'Cel'),
  check('gas-supply', 'not-watched', null, said(null), null),
  check('beer-left', 'not-watched', null, said(null), null),
];

/** A keg that has everything but the estimate; parts may be replaced. */
export function sampleKeg(parts: Partial<KegState> = {}): KegState {
  return {
    kegId: 'left',
    at: ago(0),
    name: 'Left keg',
    adopted: true,
    placeId: 'fridge',
    supplyId: 'gas',
    batchId: 'b1',
    batchName: 'Wet Tuesday',
    style: 'pale ale',
    abvPercent: 4.6,
    filledAt: ago(6 * 24 * HOUR_MS),
    beerTemperatureC: 3.1,
    headspaceKpaGauge: 78,
    ambientKpaAbsolute: 100.8,
    ambientFrom: 'site-altitude',
    gas: 'on',
    regulatorKpaGauge: 78,
    advisedKpaGauge: 63,
    equilibriumVolumes: 2.41,
    dissolved: null,
    target: { volumes: 2.45, low: 2.3, high: 2.6, celsius: 2 },
    readyIn: null,
    belief: null,
    notices: [],
    gasCheck: null,
    coldIn: { hours: 5, lowHours: 4, highHours: 7 },
    inputs: [input('beer-temperature', 3.1, 12_000), input('headspace-pressure', 78, 20_000)],
    verdict: {
      kind: 'unknown',
      since: ago(2 * HOUR_MS),
      headline: 'What is in the beer cannot be told yet.',
      checks: [...SAMPLE_CHECKS],
    },
    ...parts,
  };
}

export const withVerdict = (keg: KegState, kind: KegState['verdict']['kind'], headline: string): KegState => ({
  ...keg,
  verdict: { ...keg.verdict, kind, headline },
});

export const ACT_KEG: KegState = {
  ...sampleKeg({
    kegId: 'right',
    name: 'Right keg',
    batchName: 'Slow Bicycle',
    style: 'porter',
    beerTemperatureC: 1.4,
    headspaceKpaGauge: 87.6,
    equilibriumVolumes: 2.89,
    dissolved: { volumes: 2.38, low: 2.31, high: 2.45 },
  }),
  verdict: {
    kind: 'act',
    since: ago(HOUR_MS),
    headline: 'Turn the regulator to 63 kPa.',
    checks: [
      check('overcarbonation-risk', 'act', 2.89, atMost(2.6), '{volumes}', 'Turn the regulator to 63 kPa.'),
      ...SAMPLE_CHECKS.filter((one) => one.name !== 'overcarbonation-risk'),
    ],
  },
};

export const WAIT_KEG = withVerdict(
  sampleKeg({
    kegId: 'middle',
    name: 'Middle keg',
    batchName: 'Borrowed Ladder',
    style: 'wheat',
    beerTemperatureC: 1.6,
    dissolved: { volumes: 2.14, low: 2.02, high: 2.26 },
    target: { volumes: 2.5, low: 2.4, high: 2.6, celsius: 2 },
    equilibriumVolumes: 2.51,
  }),
  'wait',
  'Time alone will do it: ready Saturday, between 02:00 and 13:00.',
);

export const READY_KEG = withVerdict(
  sampleKeg({ beerTemperatureC: 1.5, dissolved: { volumes: 2.44, low: 2.38, high: 2.5 } }),
  'ready',
  'Fill whenever you like. It holds here.',
);

export const UNKNOWN_KEG = sampleKeg();

export const UNFILLED_KEG = withVerdict(
  sampleKeg({
    kegId: 'one',
    name: 'one',
    batchId: null,
    batchName: null,
    style: null,
    abvPercent: null,
    filledAt: null,
  }),
  'unknown',
  'Say what is in this keg, and Quietkeg can judge it.',
);

export const SUGGESTED_KEG: KegState = { ...UNFILLED_KEG, adopted: false };

export const SAMPLE_ALERT: Episode = {
  id: 'a1',
  rule: 'cold-enough',
  kegId: 'left',
  target: 'left',
  state: 'active',
  level: 'news',
  beganAt: ago(3 * HOUR_MS),
  endedAt: null,
  unverified: false,
  acknowledgedAt: null,
  mutedUntil: null,
  mutedBecause: null,
  unsteady: false,
  measured: 2.1,
  limit: 2.2,
  unit: 'Cel',
  message: 'Wet Tuesday is cold enough to fill',
  advice: 'It reached 2.1 °C.',
};

export const SILENT_ALERT: Episode = {
  ...SAMPLE_ALERT,
  id: 'a2',
  rule: 'probe-silent',
  level: 'attention',
  target: 'right.headspace-pressure',
  kegId: 'right',
  beganAt: ago(HOUR_MS),
  message: 'The pressure probe of Slow Bicycle is silent',
  advice: 'It usually speaks every minute. Look at its battery and its network.',
  measured: null,
  limit: null,
  unit: null,
};

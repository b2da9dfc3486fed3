/** What the brewer is told in each of many situations: cold beer inside its window is the plain one, each row changes a little. */
import { describe, expect, test } from 'vitest';
import type { EventBody } from '../../../src/domain/event.ts';
import type { GapMark } from '../../../src/domain/gap.ts';
import { kegFactsAt } from '../../../src/domain/keg-facts.ts';
import type { DissolvedOutlook } from '../../../src/domain/verdict/basis.ts';
import type { CheckName, CheckState } from '../../../src/domain/verdict/check.ts';
import { judge, type VerdictKind } from '../../../src/domain/verdict/judge.ts';
import { DEFAULT_LIMITS } from '../../../src/domain/verdict/limits.ts';
import {
  aBasis,
  aBatch,
  aFilling,
  aLiveValue,
  anEvent,
  anOutlook,
  type BasisChange,
  DAY,
  HOUR,
  MINUTE,
  NOON,
} from '../../support/builders.ts';

/** A keg that was filled three weeks ago and carbonated at serving pressure: 2.25 volumes at 1.5 degC and 60 kPa. */
const PLAIN: BasisChange = { beerC: 1.5, kpaGauge: 60, dissolved: anOutlook(), facts: entered() };

/** Entries of hours ago, the filling three weeks before them. */
function entered(...events: readonly (readonly [hoursAgo: number, body: EventBody])[]) {
  const rows = [anEvent(NOON - 21 * DAY, aFilling()), ...events.map(([ago, body]) => anEvent(NOON - ago * HOUR, body))];
  return kegFactsAt(rows, NOON);
}

const notHeard = (fromMinutesAgo: number, toMinutesAgo: number, cause: GapMark['cause'] = 'service-down'): GapMark => ({
  cause,
  fromMs: NOON - fromMinutesAgo * MINUTE,
  toMs: NOON - toMinutesAgo * MINUTE,
});
const dissolved = (change: Partial<DissolvedOutlook>): BasisChange => ({ dissolved: anOutlook(change) });
const hours = (low: number, middle: number, high: number) => ({ hours: middle, lowHours: low, highHours: high });

/** A beer that is on its way: half of it is there. */
const ON_ITS_WAY = {
  volumes: 1.6,
  low: 1.3,
  high: 1.9,
  insideProbability: 0.01,
  readyIn: hours(60, 96, 160),
} as const;
const PAST = {
  volumes: 2.65,
  low: 2.55,
  high: 2.75,
  insideProbability: 0.02,
  aboveProbability: 0.97,
  passesTopInHours: 0,
};

type Row = readonly [
  situation: string,
  change: BasisChange,
  kind: VerdictKind,
  headline: RegExp,
  check?: [CheckName, CheckState],
];

const READY = /^Fill whenever you like/;

const OF_THE_BEER: readonly Row[] = [
  // First the one that matters most: never checked, three weeks on gas.
  ['never checked, three weeks on gas', dissolved({ low: 2.02, high: 2.38, insideProbability: 0.93 }), 'ready', READY],
  ['all is right', {}, 'ready', READY],
  ['just sure enough', dissolved({ insideProbability: 0.9, aboveProbability: 0.05 }), 'ready', READY],
  ['not quite sure enough', dissolved({ insideProbability: 0.89 }), 'wait', /^Likely right.*too flat/],
  ['may be past its top', dissolved({ insideProbability: 0.92, aboveProbability: 0.06 }), 'wait', /^Likely right/],
  ['on its way', dissolved(ON_ITS_WAY), 'wait', /inside the window in about 3 to 7\u00a0days/],
  ['nearly there', dissolved({ ...ON_ITS_WAY, readyIn: hours(5, 7, 9) }), 'wait', /about 5 to 9\u00a0h/],
  ['on its way for longer than a week', dissolved({ ...ON_ITS_WAY, readyIn: null }), 'act', /more than a week/],
  [
    'on its way past the window',
    { ...dissolved({ ...ON_ITS_WAY, readyIn: null }), kpaGauge: 120 },
    'act',
    /ends at 3\.\d\d/,
  ],
  [
    'heading too low',
    { ...dissolved({ ...ON_ITS_WAY, readyIn: null }), kpaGauge: 30 },
    'act',
    /outside its window\. Turn the regulator to/,
  ],
  ['past the window, settling inside', dissolved(PAST), 'act', /^Past the window\. Close the gas and vent a little/],
  [
    'past the window and going on',
    { ...dissolved(PAST), kpaGauge: 82 },
    'act',
    /Turn the regulator to 0\.\d\d\u00a0bar, then vent/,
  ],
  ['no estimate', { dissolved: null }, 'unknown', /cannot be told yet/],
  ['mixed gas of unknown share', { co2Ratio: null, dissolved: null }, 'unknown', /The gas is mixed/],
  ['no batch', { batch: null }, 'unknown', /^Say what is in this keg/],
];

const OF_WHAT_COMES: readonly Row[] = [
  ['passes its top tomorrow', dissolved({ passesTopInHours: 20 }), 'ready', READY, ['overcarbonation-risk', 'pass']],
  [
    'passes its top tonight, the gas set too high',
    { ...dissolved({ passesTopInHours: 6 }), kpaGauge: 78 },
    'act',
    /^Turn the regulator to 0\.\d\d\u00a0bar now/,
    ['overcarbonation-risk', 'act'],
  ],
  [
    'may pass its top, but settles below it',
    dissolved({ passesTopInHours: 6, aboveProbability: 0.04 }),
    'ready',
    READY,
    ['overcarbonation-risk', 'pass'],
  ],
  [
    'may be past its top now, and settles below it',
    dissolved({ passesTopInHours: 0, insideProbability: 0.9, aboveProbability: 0.08 }),
    'wait',
    /A gas check would tell/,
    ['overcarbonation-risk', 'wait'],
  ],
  [
    'passes within the limit of its batch',
    { ...dissolved({ passesTopInHours: 20 }), kpaGauge: 78, rest: { limits: { ...DEFAULT_LIMITS, aheadHours: 24 } } },
    'act',
    /^Turn the regulator/,
  ],
  [
    'passes its top before the fill that is planned is over',
    { ...dissolved({ passesTopInHours: 20 }), kpaGauge: 78, rest: { planned: planned(30) } },
    'act',
    /^Turn the regulator/,
    ['overcarbonation-risk', 'act'],
  ],
  [
    'passes its top after the fill that is planned, which is soon',
    { ...dissolved({ passesTopInHours: 6 }), kpaGauge: 78, rest: { planned: planned(2) } },
    'ready',
    READY,
    ['overcarbonation-risk', 'pass'],
  ],
  [
    'passes its top before the fill, but is turned down in time by the plan',
    { ...dissolved({ passesTopInHours: 20 }), kpaGauge: 78, rest: { planned: planned(30, 10) } },
    'ready',
    READY,
    ['overcarbonation-risk', 'pass'],
  ],
  [
    'is turned down too late by the plan',
    { ...dissolved({ passesTopInHours: 6 }), kpaGauge: 78, rest: { planned: planned(30, 10) } },
    'act',
    /^Turn the regulator/,
  ],
  [
    'should have been turned down by the plan',
    { ...dissolved({ passesTopInHours: 6 }), kpaGauge: 78, rest: { planned: planned(30, -1) } },
    'act',
    /^Turn the regulator/,
  ],
];

/** A planned fill that ends in so many hours, and turns the pressure down in so many. */
function planned(endsInH: number, downInH: number | null = null) {
  return { endsAtMs: NOON + endsInH * HOUR, turnsDownAtMs: downInH === null ? null : NOON + downInH * HOUR };
}

const OF_TEMPERATURE: readonly Row[] = [
  ['at its limit', { beerC: 2.2, kpaGauge: 63 }, 'ready', READY],
  ['a little too warm', { beerC: 2.4, kpaGauge: 63 }, 'wait', /^Wait until the beer is at 2\.0/],
  [
    'a little too warm, but it was cold',
    { beerC: 2.4, kpaGauge: 63, rest: { passed: new Set(['cold'] as const) } },
    'ready',
    READY,
  ],
  [
    'too warm, and it was cold',
    { beerC: 2.6, kpaGauge: 63, rest: { passed: new Set(['cold'] as const) } },
    'wait',
    /^Wait until/,
  ],
  [
    'cooling, and it is known for how long',
    { beerC: 6, kpaGauge: 80, rest: { coldIn: hours(6, 7, 8) } },
    'wait',
    /at 2\.0\u00a0°C: nearly there in about 7\u00a0h\.$/,
  ],
  [
    'the fridge is set too warm',
    { beerC: 6, kpaGauge: 80, facts: entered([30, { kind: 'fridge-set', celsius: 6 }]) },
    'act',
    /^Set the fridge/,
  ],
  [
    'the wish is below freezing',
    { beerC: 1, facts: entered([30, { kind: 'target-set', volumes: 2.25, tolerance: 0.25, celsius: -3 }]) },
    'act',
    /^Wish for a warmer fill/,
  ],
  ['near freezing', { beerC: -1 }, 'act', /^Set the fridge warmer/, ['freezing-margin', 'act']],
  ['strong beer stays fluid', { beerC: -1, batch: aBatch({ abvPercent: 8 }) }, 'ready', READY],
  ['freezing outdoes everything', { ...dissolved(PAST), beerC: -1.5 }, 'act', /^Set the fridge warmer/],
];

const OF_PRESSURE: readonly Row[] = [
  ['at the low end', { kpaGauge: 55, ...dissolved({ volumes: 2.2 }) }, 'ready', READY],
  ['too low', { kpaGauge: 50, ...dissolved({ volumes: 2.1 }) }, 'act', /^Turn the regulator to/],
  ['too high', { kpaGauge: 90 }, 'act', /^Turn the regulator to.*it foams/],
  [
    'breathing around its limit',
    { kpaGauge: 84, rest: { passed: new Set(['serving-pressure'] as const) } },
    'ready',
    READY,
  ],
  [
    'below what the beer itself presses with',
    { kpaGauge: 56, ...dissolved({ volumes: 2.45 }) },
    'act',
    /foams in the line/,
  ],
  [
    'high while it is warm and on its way',
    { ...dissolved(ON_ITS_WAY), beerC: 12, kpaGauge: 125 },
    'wait',
    /inside the window/,
  ],
  ['the gas is entered as closed', { facts: entered([5, { kind: 'gas-closed' }]) }, 'act', /^Open the gas/],
  [
    'a gas check is going on',
    { facts: entered([5, { kind: 'gas-check-started' }]), rest: { gasCheckRuns: true } },
    'wait',
    /^A gas check is going on/,
  ],
  ['no gas reaches it', dissolved({ disagreement: 'open-but-no-gas' }), 'act', /^No gas reaches the keg/],
];

const OF_REST: readonly Row[] = [
  [
    'moved eleven hours ago',
    { facts: entered([11, { kind: 'keg-moved' }]) },
    'wait',
    /alone for 1\u00a0h more: it was moved/,
  ],
  ['moved twelve hours ago', { facts: entered([12, { kind: 'keg-moved' }]) }, 'ready', READY],
  [
    'shaken just now',
    { facts: entered([0, { kind: 'keg-shaken', seconds: 90 }]) },
    'wait',
    /12\u00a0h more: it was shaken/,
  ],
  ['vented an hour ago', { facts: entered([1, { kind: 'keg-vented' }]) }, 'wait', /11\u00a0h more: it was vented/],
  [
    'its batch wants more rest',
    { facts: entered([20, { kind: 'keg-moved' }]), rest: { limits: { ...DEFAULT_LIMITS, restHours: 24 } } },
    'wait',
    /4\u00a0h more/,
  ],
  [
    'pressure moves',
    { rest: { steadiness: { kpa: 9, celsius: 0.1, missedSteps: 0 } } },
    'wait',
    /^Leave gas and fridge alone/,
  ],
  [
    'temperature moves',
    { rest: { steadiness: { kpa: 1, celsius: 1.4, missedSteps: 0 } } },
    'wait',
    /^Leave gas and fridge alone/,
  ],
  [
    'it moves a little more than when it was steady',
    { rest: { steadiness: { kpa: 6, celsius: 0.1, missedSteps: 0 }, passed: new Set(['steady'] as const) } },
    'ready',
    READY,
  ],
  ['heard for less than half an hour', { rest: { steadiness: null } }, 'wait', /takes half an hour/],
  [
    'we did not run 20 min ago',
    { rest: { steadiness: null, holes: [notHeard(27, 20)] } },
    'unknown',
    /^7 min of .* did not run/,
  ],
  [
    'we did not run, and one step is all that was missed',
    { rest: { steadiness: { kpa: 0, celsius: 0, missedSteps: 1 }, holes: [notHeard(14, 10, 'session-lost')] } },
    'unknown',
    /^4 min of .* had forgotten/,
  ],
  [
    'the broker threw away since before half an hour ago',
    { rest: { steadiness: null, holes: [notHeard(50, 10, 'broker-dropped')] } },
    'unknown',
    /^20 min of .* threw messages away/,
  ],
  ['we did not run, but all was heard afterwards', { rest: { holes: [notHeard(27, 20)] } }, 'ready', READY],
  [
    'one step was missed by a slow probe',
    { rest: { steadiness: { kpa: 0, celsius: 0, missedSteps: 1 } } },
    'ready',
    READY,
  ],
];

const OF_PROBES: readonly Row[] = [
  ['the thermometer is late', { beerAgeMs: 5 * MINUTE }, 'ready', READY],
  ['the thermometer is silent', { beerAgeMs: HOUR }, 'unknown', /^Look at the beer thermometer/],
  ['the pressure probe is silent', { pressureAgeMs: HOUR }, 'unknown', /^Look at the pressure probe/],
  ['no thermometer yet', { beerC: null }, 'unknown', /^Nothing heard of the beer thermometer/],
  ['no pressure probe yet', { kpaGauge: null }, 'unknown', /^Nothing heard of the pressure probe/],
  [
    'a silent probe, and someone is needed anyway',
    { pressureAgeMs: HOUR, beerC: -1.5 },
    'act',
    /^Set the fridge warmer/,
  ],
];

const heard = (...values: readonly ReturnType<typeof aLiveValue>[]): BasisChange => ({ further: values });

const OF_THE_SESSION: readonly Row[] = [
  ['nothing watches the session', {}, 'ready', READY, ['purge-pressure', 'not-watched']],
  ['the purge pressure is right', heard(aLiveValue('purge-pressure', 103)), 'ready', READY, ['purge-pressure', 'pass']],
  [
    'the purge pressure is off',
    heard(aLiveValue('purge-pressure', 60)),
    'act',
    /^Set the purge pressure to about 1\.0/,
  ],
  [
    'the purge gauge is silent',
    heard(aLiveValue('purge-pressure', 103, { ageMs: HOUR })),
    'unknown',
    /purge pressure lately/,
  ],
  ['the bottles are cold', heard(aLiveValue('bottle-temperature', 3)), 'ready', READY, ['bottles-cold', 'pass']],
  ['the bottles are warm', heard(aLiveValue('bottle-temperature', 12)), 'wait', /^Leave the bottles in the cold/],
  [
    'the bottle thermometer is silent',
    heard(aLiveValue('bottle-temperature', 3, { ageMs: HOUR })),
    'unknown',
    /the bottles lately/,
  ],
  ['the cylinder is full', heard(aLiveValue('cylinder-mass', 5)), 'ready', READY, ['gas-supply', 'pass']],
  [
    'the cylinder is nearly empty, by mass',
    heard(aLiveValue('cylinder-mass', 0.2)),
    'act',
    /^The cylinder is nearly empty/,
  ],
  [
    'liquid is left in the cylinder',
    heard(aLiveValue('cylinder-pressure', 3600)),
    'ready',
    READY,
    ['gas-supply', 'pass'],
  ],
  ['no liquid is left in the cylinder', heard(aLiveValue('cylinder-pressure', 1800)), 'act', /No liquid is left/],
  ['the cylinder is silent', heard(aLiveValue('cylinder-mass', 5, { ageMs: HOUR })), 'unknown', /the cylinder lately/],
  [
    'beer was drawn',
    { facts: entered([40, { kind: 'beer-drawn', litres: 4 }]) },
    'ready',
    READY,
    ['beer-left', 'pass'],
  ],
  ['most beer was drawn', { facts: entered([40, { kind: 'beer-drawn', litres: 18 }]) }, 'act', /nearly empty/],
  ['the scale says that beer is left', heard(aLiveValue('keg-mass', 9)), 'ready', READY, ['beer-left', 'pass']],
  ['the scale says that the keg is empty', heard(aLiveValue('keg-mass', 0.4)), 'act', /nearly empty/],
  ['the scale counts the keg itself', heard(aLiveValue('keg-mass', 24)), 'ready', READY, ['beer-left', 'not-watched']],
];

const SITUATIONS: Readonly<Record<string, readonly Row[]>> = {
  'what is in the beer': OF_THE_BEER,
  'what it comes to': OF_WHAT_COMES,
  temperature: OF_TEMPERATURE,
  'pressure and gas': OF_PRESSURE,
  rest: OF_REST,
  probes: OF_PROBES,
  'the session': OF_THE_SESSION,
};

for (const [about, rows] of Object.entries(SITUATIONS)) {
  describe(about, () => {
    for (const [situation, change, kind, headline, check] of rows) {
      test(situation, () => {
        const verdict = judge(aBasis({ ...PLAIN, ...change }));
        expect(verdict.headline).toMatch(headline);
        expect(verdict.kind).toBe(kind);
        if (check === undefined) return;
        const [name, state] = check;
        expect(verdict.checks.find((one) => one.name === name)?.state).toBe(state);
      });
    }
  });
}

test('there are enough situations to trust the verdict by', () => {
  expect(Object.values(SITUATIONS).flat().length).toBeGreaterThanOrEqual(60);
});

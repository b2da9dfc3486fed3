import type { FillPlan, KeptPlan, PlanStep } from '../../../src/contract/plan.ts';

/** Thursday, 25 June 2026, 14:06 in Vienna. */
const AT = '2026-06-25T12:06:00.000Z';
const FILL_AT = '2026-06-27T17:00:00.000Z';

function step(at: string, kind: string, by: PlanStep['by'], what: string, why: string, rest: Partial<PlanStep> = {}) {
  return { at, earliest: at, latest: at, what, value: null, unit: null, why, kind, by, ...rest };
}

const STEPS: readonly PlanStep[] = [
  step(AT, 'fridge', 'you', 'Set the fridge to 1.5\u00a0°C', 'The beer ends a little above its fridge.', {
    latest: '2026-06-26T19:30:00.000Z',
  }),
  step(AT, 'regulator', 'you', 'Turn the regulator to 0.62\u00a0bar', 'The pressure at which it is filled.'),
  step('2026-06-27T05:00:00.000Z', 'inside', 'keg', 'The beer comes inside its window', 'Nobody is needed for it.', {
    earliest: '2026-06-27T00:00:00.000Z',
    latest: '2026-06-27T11:00:00.000Z',
  }),
  step('2026-06-26T19:00:00.000Z', 'bottles', 'you', 'Put 26 clean bottles into the cold', 'The day before.', {
    latest: '2026-06-27T09:00:00.000Z',
  }),
  step('2026-06-27T05:00:00.000Z', 'rest', 'keg', 'Leave the keg still from now on', 'No moving for 12 h.', {
    latest: FILL_AT,
  }),
  step('2026-06-27T16:35:00.000Z', 'set-up', 'you', 'Set up the line and the purge gas', '3 m of 4.8 mm line.'),
  step(FILL_AT, 'fill', 'you', 'First bottle', 'About 2 min each with purging and capping.'),
  step('2026-06-27T17:50:00.000Z', 'end', 'you', 'Last bottle, then rinse the line', 'About 75 min in all.'),
].toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at));

export const GOOD_PLAN: FillPlan = {
  kegId: 'one',
  at: AT,
  fillAt: FILL_AT,
  bottleGroups: [
    { count: 12, litres: 0.5 },
    { count: 12, litres: 0.33 },
  ],
  possible: true,
  probability: 0.95,
  reason: 'Very likely: 19 times in 20. Time does most of it.',
  steps: [...STEPS],
  needs: {
    ...{ bottles: 26, caps: 26, co2Grams: 105, co2LeftGrams: 1900, sanitiserL: 3, bottleL: 9.96, beerL: 10.6 },
    ...{ beerLeftL: 17.1, sessionMinutes: 75 },
  },
  setPoints: {
    ...{ servingKpaGauge: 62, purgeKpaGauge: 103, line: { boreMm: 4.8, lengthM: 3, liftM: 0.3 }, lineAssumed: false },
    ...{ flowMlPerS: 36, slowFlowMlPerS: 25, regime: 'turbulent', breakoutKpaGauge: 57, breaksOut: false },
    secondsPerBottle: [
      { litres: 0.5, seconds: 14, slowSeconds: 21 },
      { litres: 0.33, seconds: 9, slowSeconds: 14 },
    ],
    ...{ kegVolumes: 2.36, bottleVolumes: 2.23, bottleKpaGaugeAt20C: 177, bottleKpaGaugeAt30C: 258 },
    ...{ glassKpaGauge: 1000, glassSafeKpaGauge: 333, glassIsSafe: true },
  },
  target: { low: 2, high: 2.5, volumes: 2.25, celsius: 2 },
  insideBetween: {
    from: '2026-06-27T00:00:00.000Z',
    likely: '2026-06-27T05:00:00.000Z',
    until: '2026-06-27T11:00:00.000Z',
  },
  atHour: { low: 2.21, volumes: 2.36, high: 2.44 },
  cautions: ['Wear eye protection, use no scratched or chipped glass, air the room, and do not lift a full keg alone.'],
};

export const GRAVE_PLAN: FillPlan = {
  ...GOOD_PLAN,
  setPoints: {
    ...GOOD_PLAN.setPoints,
    ...{ lineAssumed: true, breaksOut: true, glassIsSafe: false, kegVolumes: 3.5, bottleKpaGaugeAt30C: 425 },
    secondsPerBottle: [{ litres: 0.5, seconds: null, slowSeconds: null }],
  },
  needs: { ...GOOD_PLAN.needs, beerLeftL: null, co2LeftGrams: null },
  cautions: ['Do not fill beer bottles with this: ordinary glass is not made for it.', ...GOOD_PLAN.cautions],
};

export const REFUSED_PLAN: FillPlan = {
  ...GOOD_PLAN,
  ...{ possible: false, probability: 0, steps: [], insideBetween: null },
  reason: 'The keg holds 4.0\u00a0L. 24 bottles with line and foam take 10.6\u00a0L: plan fewer.',
};

const kept = (planId: string, state: KeptPlan['state'], changes: KeptPlan['changes']): KeptPlan => ({
  ...{ planId, kegId: 'one', name: 'Borrowed Ladder', fillAt: FILL_AT, bottles: '12x0.5,12x0.33' },
  ...{ madeAt: AT, checkedAt: AT, state, changes, plan: GOOD_PLAN },
});

export const KEPT_PLANS: readonly KeptPlan[] = [
  kept('p1', 'kept', [{ at: AT, says: 'It has become less sure. Likely: nine times in ten.' }]),
  kept('p2', 'cancelled', []),
  kept('p3', 'over', []),
];
export const SAMPLE_NOW_MS = Date.parse(AT);

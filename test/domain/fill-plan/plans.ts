import { PLAN_SCOUTS } from '../../../src/domain/fill-plan/gas-way.ts';
import { fillPlan } from '../../../src/domain/fill-plan/plan.ts';
import type { FillPlan, PlanBasis } from '../../../src/domain/fill-plan/types.ts';
import { DEFAULT_TARGET, type KegFacts } from '../../../src/domain/keg-facts.ts';
import { DEFAULT_LIMITS } from '../../../src/domain/verdict/limits.ts';
import { begin, carbonating, onGas, walkOn } from '../estimate/kegs.ts';

export const HOUR = 3_600_000;
/** A Thursday noon; whole steps of the estimate from its beginning. */
export const NOW = Date.UTC(2026, 5, 4, 12);
export const AMBIENT = 101.325;

export const someFacts = (changes: Partial<KegFacts> = {}): KegFacts => ({
  target: DEFAULT_TARGET,
  gas: 'on',
  altitudeMetres: null,
  thermometer: 'thermowell',
  regulatorKpaGauge: 70,
  fridgeCelsius: 1.5,
  rest: { sinceMs: NOW - 48 * HOUR, after: 'filled' },
  beer: { filledLitres: 18.5, drawnLitres: 0 },
  ...changes,
});

/** Days on gas at 4 °C under 70 kPa; kegs that could be such a one. */
export const kegsAfter = (days: number) => carbonating(288 * days, 300).scouts(PLAN_SCOUTS, AMBIENT);
/** Added with a content that is nearly known. */
export function kegsHolding(volumes: number) {
  const keg = begin({ beerState: 'carbonated' }, 300);
  walkOn(keg, 0, 2, (index) => ({
    events: index === 0 ? [...onGas(), { kind: 'sample-measured', atMs: 0, volumes, plusMinus: 0.05 }] : [],
  }));
  return keg.scouts(PLAN_SCOUTS, AMBIENT);
}

export function aBasis(changes: Partial<PlanBasis> = {}): PlanBasis {
  return {
    nowMs: NOW,
    fillAtMs: NOW + 7 * 24 * HOUR,
    bottles: [{ count: 12, litres: 0.5 }],
    facts: someFacts(),
    limits: DEFAULT_LIMITS,
    abvPercent: 5,
    co2Ratio: 1,
    ambientKpaAbsolute: AMBIENT,
    beerC: 1.8,
    headspaceKpaGauge: 70,
    cooling: false,
    coolingConstant: { hours: 10, lowHours: 9, highHours: 11 },
    dissolved: { low: 1.4, volumes: 1.7, high: 2 },
    scouts: kegsAfter(3),
    gasSinceMs: NOW - 72 * HOUR,
    lastCheckMs: null,
    checkSinceMs: null,
    mayCheck: true,
    beerLeftL: 18.5,
    gasLeftKg: 2,
    line: { boreMm: 4.8, lengthM: 3, liftM: 0.5 },
    workingKpaGaugeMax: 896,
    othersOnGas: [],
    units: { temperature: 'Cel', pressure: 'kPa', carbonation: 'volumes' },
    awakeAt: (atMs) => {
      const hour = new Date(atMs).getUTCHours();
      return hour >= 7 && hour < 23;
    },
    ...changes,
  };
}

export const aPlan = (changes: Partial<PlanBasis> = {}): FillPlan => fillPlan(aBasis(changes));
export const kindsOf = (plan: FillPlan): string[] => plan.steps.map(({ kind }) => kind);
export const stepOf = (plan: FillPlan, kind: string) => plan.steps.filter((step) => step.kind === kind);

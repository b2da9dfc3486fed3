import type * as contract from '../contract/index.ts';
import type { Keg } from '../domain/catalogue.ts';
import type { BottleGroup } from '../domain/fill-plan/bottles.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import { collectInputs, type KegInput } from '../domain/keg-inputs.ts';
import type { Quantity } from '../domain/quantity.ts';
import { usable } from '../domain/verdict/basis.ts';
import { limitsWith } from '../domain/verdict/limits.ts';
import type { KegEstimates } from './keg-estimates.ts';
import type { LiveProbes } from './live-probes.ts';
import { minuteOfDay } from './local-time.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { planOf } from './plan-basis.ts';
import { presentPlan } from './present-plan.ts';
import type { Register } from './register.ts';

export interface PlanWish {
  readonly keg: Keg;
  readonly nowMs: number;
  readonly fillAtMs: number;
  readonly bottles: readonly BottleGroup[];
}

interface Known {
  readonly register: Register;
  readonly estimates: KegEstimates;
  readonly probes: LiveProbes;
}

/** Nobody turns a regulator at night (minutes since midnight). */
const UP_FROM = 7 * 60;
const UP_UNTIL = 23 * 60;
/** Litres of beer in a kilogram, near enough for what is left in a keg. @source as `verdict/session` */
const LITRES_PER_KG = 0.99;

/** The plan for a keg from all that is known of it; refused with what to enter where that is too little. */
export function planKeg({ register, estimates, probes }: Known, wish: PlanWish): Outcome<contract.FillPlan> {
  const { keg, nowMs, fillAtMs, bottles } = wish;
  const { kegId } = keg;
  const batch = register.batchAt(kegId, nowMs);
  if (batch === null) {
    return refuse(
      'estimate-missing',
      `The keg ${kegId} holds no beer by what was entered. Enter when it was filled and with how much.`,
    );
  }
  const supply = register.supply(keg.supplyId);
  const co2Ratio = supply?.co2Ratio ?? null;
  if (co2Ratio === null) {
    return refuse(
      'estimate-missing',
      `The gas of ${kegId} is mixed. Enter its share of CO2 with the gas supply ${keg.supplyId}.`,
    );
  }
  const [output, estimate] = [estimates.output(kegId), estimates.fork(kegId)];
  if (output === null || estimate === null) {
    return refuse('estimate-missing', `What ${kegId} holds is still being worked out. Ask again in a minute.`);
  }
  const events = register.eventsOf(keg);
  const facts = kegFactsAt(events, nowMs);
  const site = register.site();
  const inputs = collectInputs(
    [...probes.of({ kind: 'keg', id: kegId }), ...probes.of({ kind: 'supply', id: keg.supplyId })],
    facts.altitudeMetres,
    site,
    nowMs,
  );
  const plan = planOf({
    ...{ nowMs, fillAtMs, bottles, events, output, estimate, co2Ratio },
    coolingConstant: estimates.coolingConstant(kegId),
    limits: limitsWith(batch.limits),
    abvPercent: batch.abvPercent,
    beerLeftL: beerLeft(inputs, facts.beer),
    gasLeftKg: newest(inputs, 'cylinder-mass'),
    line: site.line,
    workingKpaGaugeMax: keg.workingKpaGaugeMax,
    othersOnGas: othersOnGas(register, keg, nowMs),
    units: site.units,
    awakeAt: (atMs) => {
      const minute = minuteOfDay(atMs, site.timeZone);
      return minute >= UP_FROM && minute < UP_UNTIL;
    },
  });
  if (plan === null) {
    return refuse('estimate-missing', `The beer temperature of ${kegId} is not known now. Look at its thermometer.`);
  }
  return done(presentPlan(plan, { kegId, nowMs, bottles, target: facts.target }));
}

function newest(inputs: readonly KegInput[], quantity: Quantity): number | null {
  return usable(inputs.find((input) => input.quantity === quantity) ?? null)?.value ?? null;
}

/** By the scale where it was set to zero with the empty keg, else by what was entered (L). */
function beerLeft(
  inputs: readonly KegInput[],
  beer: { filledLitres: number; drawnLitres: number } | null,
): number | null {
  if (beer === null) return null;
  const kg = newest(inputs, 'keg-mass');
  if (kg !== null && kg * LITRES_PER_KG <= beer.filledLitres * 1.1) return kg * LITRES_PER_KG;
  return Math.max(0, beer.filledLitres - beer.drawnLitres);
}

/** Other beers that the same regulator feeds. */
function othersOnGas(register: Register, { kegId, supplyId }: Keg, nowMs: number): string[] {
  return register
    .kegs()
    .filter((other) => other.supplyId === supplyId && other.kegId !== kegId)
    .flatMap((other) => {
      const batch = register.batchAt(other.kegId, nowMs);
      const isOff = register.factsOf(other, nowMs).gas === 'closed';
      return batch === null || isOff ? [] : [batch.name];
    });
}

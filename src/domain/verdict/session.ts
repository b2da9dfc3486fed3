import type { KegInput } from '../keg-inputs.ts';
import type { Quantity } from '../quantity.ts';
import { pressureWords, temperatureWords } from '../words.ts';
import { usable, type VerdictBasis } from './basis.ts';
import type { Check, CheckName } from './check.ts';

/** Checks of the session: what has no probe and no entry is listed and blocks nothing. */
export function sessionChecks(basis: VerdictBasis): readonly Check[] {
  return [purgePressureCheck(basis), bottlesColdCheck(basis), gasSupplyCheck(basis), beerLeftCheck(basis)];
}

/** Litres of beer in a kilogram, near enough for what is left in a keg. */
const LITRES_PER_KG = 0.99;
/**
 * While liquid CO2 is left, a cylinder presses with its vapour pressure: 2,550 kPa gauge even at -10 °C. Below, only gas is
 * left, little of it. @source Span and Wagner 1996, vapour pressure of CO2 (`physics/cylinder`)
 */
const LIQUID_GONE_KPA = 2500;

type Limits = Pick<Check, 'wanted' | 'wantedLow' | 'wantedHigh' | 'unit'>;

const newest = (inputs: readonly KegInput[], quantity: Quantity) =>
  usable(inputs.find((input) => input.quantity === quantity) ?? null);
const isWatched = (inputs: readonly KegInput[], quantity: Quantity) =>
  inputs.some((input) => input.quantity === quantity);

function unwatched(name: CheckName, limits: Limits, advice: string): Check {
  return { name, state: 'not-watched', measured: null, ...limits, advice };
}

function silent(name: CheckName, limits: Limits, what: string): Check {
  return { name, state: 'unknown', measured: null, ...limits, advice: `Nothing heard of ${what} lately.` };
}

function purgePressureCheck({ inputs, limits, units }: VerdictBasis): Check {
  const { purgeKpaLow: low, purgeKpaHigh: high } = limits;
  const wanted: Limits = { wanted: `${low} to ${high} kPa`, wantedLow: low, wantedHigh: high, unit: 'kPa' };
  if (!isWatched(inputs, 'purge-pressure')) return unwatched('purge-pressure', wanted, '');
  const input = newest(inputs, 'purge-pressure');
  if (input === null) return silent('purge-pressure', wanted, 'the purge pressure');
  const measured = input.value;
  if (measured >= low && measured <= high)
    return { name: 'purge-pressure', state: 'pass', measured, ...wanted, advice: '' };
  const advice = `Set the purge pressure to about ${pressureWords((low + high) / 2, units)}.`;
  return { name: 'purge-pressure', state: 'act', measured, ...wanted, advice };
}

function bottlesColdCheck({ inputs, limits, units }: VerdictBasis): Check {
  const wanted: Limits = { wanted: limits.bottlesC, wantedLow: null, wantedHigh: limits.bottlesC, unit: 'Cel' };
  if (!isWatched(inputs, 'bottle-temperature')) return unwatched('bottles-cold', wanted, '');
  const input = newest(inputs, 'bottle-temperature');
  if (input === null) return silent('bottles-cold', wanted, 'the bottles');
  const measured = input.value;
  if (measured <= limits.bottlesC) return { name: 'bottles-cold', state: 'pass', measured, ...wanted, advice: '' };
  const advice = `Leave the bottles in the cold until they are at ${temperatureWords(limits.bottlesC, units)}.`;
  return { name: 'bottles-cold', state: 'wait', measured, ...wanted, advice };
}

function gasSupplyCheck({ inputs, limits, units }: VerdictBasis): Check {
  const mass: Limits = { wanted: limits.gasKg, wantedLow: limits.gasKg, wantedHigh: null, unit: 'kg' };
  const pressure: Limits = { wanted: LIQUID_GONE_KPA, wantedLow: LIQUID_GONE_KPA, wantedHigh: null, unit: 'kPa' };
  const advice = 'The cylinder is nearly empty: have a full one at hand.';
  const kg = newest(inputs, 'cylinder-mass')?.value;
  if (kg !== undefined) {
    if (kg >= limits.gasKg) return { name: 'gas-supply', state: 'pass', measured: kg, ...mass, advice: '' };
    return { name: 'gas-supply', state: 'act', measured: kg, ...mass, advice };
  }
  const kpa = newest(inputs, 'cylinder-pressure')?.value;
  if (kpa !== undefined) {
    if (kpa >= LIQUID_GONE_KPA) return { name: 'gas-supply', state: 'pass', measured: kpa, ...pressure, advice: '' };
    const why = `No liquid is left at ${pressureWords(kpa, units)}.`;
    return { name: 'gas-supply', state: 'act', measured: kpa, ...pressure, advice: `${advice} ${why}` };
  }
  const isKnown = isWatched(inputs, 'cylinder-mass') || isWatched(inputs, 'cylinder-pressure');
  return isKnown ? silent('gas-supply', mass, 'the cylinder') : unwatched('gas-supply', mass, '');
}

function beerLeftCheck({ inputs, facts, limits }: VerdictBasis): Check {
  const wanted: Limits = { wanted: limits.beerLitres, wantedLow: limits.beerLitres, wantedHigh: null, unit: 'L' };
  const { beer } = facts;
  const kg = newest(inputs, 'keg-mass')?.value;
  // A scale that was not set to zero with the empty keg on it shows more than there can be.
  const weighed =
    kg !== undefined && beer !== null && kg * LITRES_PER_KG <= beer.filledLitres * 1.1 ? kg * LITRES_PER_KG : null;
  const drawn = beer !== null && beer.drawnLitres > 0 ? Math.max(0, beer.filledLitres - beer.drawnLitres) : null;
  const measured = weighed ?? drawn;
  if (measured === null) {
    const hint = kg === undefined ? '' : 'Calibrate the scale so that the empty keg reads 0.';
    return unwatched('beer-left', wanted, hint);
  }
  if (measured >= limits.beerLitres) return { name: 'beer-left', state: 'pass', measured, ...wanted, advice: '' };
  return { name: 'beer-left', state: 'act', measured, ...wanted, advice: 'The keg is nearly empty.' };
}

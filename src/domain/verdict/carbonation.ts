import { carbonationFigures, carbonationWords, pressureWords, spanWords } from '../words.ts';
import { type DissolvedOutlook, usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';
import { advisedSettingKpaGauge } from './serving-pressure.ts';

/** How sure a pass must be that the beer is inside its window, and how unlikely past it. Chosen, no source. */
export const INSIDE_PROBABILITY_MIN = 0.9;
export const ABOVE_PROBABILITY_MAX = 0.05;
/** Once passed, a check passes with so much less certainty too: the estimate is drawn by lot and trembles a little. */
export const FLICKER_PROBABILITY = 0.04;

/**
 * Is the right carbonation in the beer? Temperature and pressure tell what it is heading for; what it holds is the
 * estimate's to say, and without one nobody can tell.
 */
export function carbonationCheck(basis: VerdictBasis): Check {
  const { facts, units } = basis;
  const { low, high } = facts.target;
  const heading = basis.equilibriumVolumes;
  const common = {
    name: 'carbonation',
    state: 'unknown',
    wanted: `${carbonationFigures(low, units)} to ${carbonationWords(high, units)}`,
    wantedLow: low,
    wantedHigh: high,
    unit: '{volumes}',
  } as const;
  if (basis.co2Ratio === null) {
    return {
      ...common,
      measured: null,
      advice: 'The gas is mixed. Enter its share of CO2 with the gas supply, then this can be computed.',
    };
  }
  if (usable(basis.beerTemperature) === null || usable(basis.headspacePressure) === null || heading === null) {
    return {
      ...common,
      measured: null,
      advice: 'It takes the temperature of the beer and the pressure in the keg to tell.',
    };
  }
  if (basis.dissolved !== undefined && basis.dissolved !== null) {
    return { ...common, ...judged(basis.dissolved, heading, basis) };
  }
  return {
    ...common,
    measured: `heading for ${carbonationWords(heading, units)}`,
    advice: `The beer is heading for ${carbonationWords(heading, units)}. How much of it is in the beer already cannot be told yet.`,
  };
}

function judged(
  outlook: DissolvedOutlook,
  heading: number,
  basis: VerdictBasis,
): Pick<Check, 'state' | 'measured' | 'advice'> {
  const { facts, units, passed } = basis;
  const { volumes, readyIn } = outlook;
  const { low, high } = facts.target;
  const measured = `${carbonationFigures(outlook.low, units)} to ${carbonationWords(outlook.high, units)}`;
  const flicker = passed.has('carbonation') ? FLICKER_PROBABILITY : 0;
  const { insideProbability, aboveProbability } = outlook;
  if (
    insideProbability >= INSIDE_PROBABILITY_MIN - flicker &&
    aboveProbability <= ABOVE_PROBABILITY_MAX + flicker / 2
  ) {
    return { state: 'pass', measured, advice: '' };
  }
  const settlesInside = heading >= low && heading <= high;
  if (volumes >= low && volumes <= high && settlesInside) {
    return { state: 'wait', measured, advice: likelyWords(outlook) };
  }
  if (readyIn !== null && volumes < low)
    return { state: 'wait', measured, advice: `Time alone will do it: inside the window in ${spanWords(readyIn)}.` };
  const advised = advisedSettingKpaGauge(basis);
  const turn = advised === null ? 'Change the setting' : `Turn the regulator to ${pressureWords(advised, units)}`;
  if (volumes > high) {
    const advice = settlesInside
      ? 'Past the window. Close the gas and vent a little at a time, over a day at least; then let it rest.'
      : `Past the window and heading for ${carbonationWords(heading, units)}. ${turn}, then vent a little at a time, over a day at least.`;
    return { state: 'act', measured, advice };
  }
  const advice = settlesInside
    ? 'Waiting takes more than a week. Make a gas check: it tells what is in the beer.'
    : `At this setting the beer ends at ${carbonationWords(heading, units)}, outside its window. ${turn}.`;
  return { state: 'act', measured, advice };
}

function likelyWords({ aboveProbability }: DissolvedOutlook): string {
  const likely = 'Likely right, and surer from day to day. A gas check would tell now.';
  // No beer passes the highest end it was ever heading for.
  return aboveProbability <= ABOVE_PROBABILITY_MAX ? `${likely} If it is off, it is too flat.` : likely;
}

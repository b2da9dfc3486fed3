import { carbonationFigures, carbonationWords } from '../words.ts';
import { type DissolvedOutlook, usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

/** How sure a pass must be that the beer is inside its window, and how unlikely past it. Chosen, no source. */
const INSIDE_PROBABILITY_MIN = 0.9;
const ABOVE_PROBABILITY_MAX = 0.05;

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
  { facts, units }: VerdictBasis,
): Pick<Check, 'state' | 'measured' | 'advice'> {
  const { volumes, readyIn } = outlook;
  const { low, high } = facts.target;
  const measured = `${carbonationFigures(outlook.low, units)} to ${carbonationWords(outlook.high, units)}`;
  if (outlook.insideProbability >= INSIDE_PROBABILITY_MIN && outlook.aboveProbability <= ABOVE_PROBABILITY_MAX) {
    return { state: 'pass', measured, advice: '' };
  }
  const settlesInside = heading >= low && heading <= high;
  if (volumes >= low && volumes <= high && settlesInside) {
    return { state: 'wait', measured, advice: 'Likely right, and surer from day to day. A gas check would tell now.' };
  }
  if (readyIn !== null && volumes < low) return { state: 'wait', measured, advice: waitWords(readyIn.hours) };
  if (volumes > high) {
    const advice = settlesInside
      ? 'Past the window. Close the gas and vent a little at a time, over a day at least; then let it rest.'
      : `Past the window and heading for ${carbonationWords(heading, units)}. Turn the regulator down, then vent a little at a time.`;
    return { state: 'act', measured, advice };
  }
  const advice = settlesInside
    ? 'Waiting takes more than a week. Make a gas check: it tells what is in the beer.'
    : `At this setting the beer ends at ${carbonationWords(heading, units)}, outside its window. Change the setting, or make a gas check.`;
  return { state: 'act', measured, advice };
}

function waitWords(hours: number): string {
  const span = hours < 48 ? `about ${Math.max(1, Math.round(hours))} h` : `about ${Math.round(hours / 24)} days`;
  return `Time alone will do it: inside the window in ${span}.`;
}

import { carbonationFigures, carbonationWords } from '../words.ts';
import { usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

/**
 * Is the right carbonation in the beer? Temperature and pressure tell what it is heading for, not what it holds, and
 * without an estimate of what is dissolved nobody can say. So this check never passes yet.
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
  return {
    ...common,
    measured: `heading for ${carbonationWords(heading, units)}`,
    advice: `The beer is heading for ${carbonationWords(heading, units)}. How much of it is in the beer already cannot be told yet.`,
  };
}

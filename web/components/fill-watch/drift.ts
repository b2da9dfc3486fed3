import type { Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import { pressure, temperature, temperatureDifference, volume } from '../../format/numbers.ts';
import type { Begin, LocalFill } from '../../store/fill-queue.ts';

/** Warmer than at the begin by this much (°C): it foams more from here on. Common practice, no source. */
const WARMED_C = 1;
/** Pressure that fell or rose by this much since the begin (kPa, 1 psi). Common practice, no source. */
const SAGGED_KPA = 7;
const CREPT_KPA = 7;
/** Less beer than this is a last glass, no bottle (L). */
const SPARE_L = 0.05;

/** Something to be said at once, in one sentence about what is and one about what to do. */
export interface Drift {
  readonly name: 'warming' | 'sagging' | 'creeping' | 'short' | 'empty';
  readonly what: string;
  readonly todo: string;
}

/** What has changed for the worse since a fill began. Values that are not known say nothing. */
export function driftsOf(
  begin: Begin,
  keg: Pick<KegState, 'beerTemperatureC' | 'headspaceKpaGauge'>,
  units: Units,
): Drift[] {
  const drifts: Drift[] = [];
  const { beerTemperatureC: beerC, headspaceKpaGauge: kpa } = keg;
  if (begin.beerC !== null && beerC !== null && beerC - begin.beerC > WARMED_C) {
    drifts.push({
      name: 'warming',
      what: `The beer is at ${temperature(beerC, units)}, ${temperatureDifference(beerC - begin.beerC, units)} warmer than at the start.`,
      todo: 'Close the fridge and let it cool before you go on: warm beer foams.',
    });
  }
  if (begin.kpaGauge === null || kpa === null) return drifts;
  const change = `${pressure(begin.kpaGauge, units)} to ${pressure(kpa, units)}`;
  if (begin.kpaGauge - kpa > SAGGED_KPA) {
    drifts.push({
      name: 'sagging',
      what: `The pressure in the keg has fallen from ${change}.`,
      todo: 'Stop between two bottles and look at the gas: valve, cylinder, regulator. Below its own pressure the beer foams in the line.',
    });
  }
  if (kpa - begin.kpaGauge > CREPT_KPA) {
    drifts.push({
      name: 'creeping',
      what: `The pressure in the keg has risen from ${change}.`,
      todo: 'Look at the regulator. Do not vent the keg now: it foams.',
    });
  }
  return drifts;
}

/** Litres of bottles that are still to be filled by the plan. */
export function litresToCome({ planned, bottles }: Pick<LocalFill, 'planned' | 'bottles'>): number {
  return planned.reduce((litres, { count, sizeL }) => {
    const filled = bottles.filter((bottle) => bottle.sizeL === sizeL).length;
    return litres + Math.max(0, count - filled) * sizeL;
  }, 0);
}

/** Beer that will not last for what is planned; null if it will, or nobody knows. */
export function shortage(leftL: number | null, toComeL: number, units: Units): Drift | null {
  if (leftL === null) return null;
  if (leftL <= SPARE_L && toComeL > 0)
    return {
      name: 'empty',
      what: 'By the count the keg is empty.',
      todo: 'Stop when gas comes: never fill a bottle with foam.',
    };
  if (toComeL - leftL <= SPARE_L) return null;
  return {
    name: 'short',
    what: `${volume(leftL, units)} of beer are left, and ${volume(toComeL, units)} are to be filled.`,
    todo: 'Fill fewer bottles.',
  };
}

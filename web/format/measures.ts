import type { Units } from '../../src/contract/catalogue.ts';
import {
  digits,
  pressureFromKpa,
  pressureToKpa,
  pressureUnit,
  temperatureFromC,
  temperatureToC,
  temperatureUnit,
  volumeFromL,
  volumeToL,
  volumeUnit,
} from './numbers.ts';

/** How the numbers of a field are shown, and kept again. */
export interface Measure {
  readonly unit: (units: Units) => string;
  readonly shown: (value: number, units: Units) => number;
  readonly kept: (shown: number, units: Units) => number;
  readonly places: (units: Units) => number;
}

const same = (value: number): number => value;
export const plainly = (unit: string, places: number): Measure => ({
  unit: () => unit,
  shown: same,
  kept: same,
  places: () => places,
});
const PRESSURE_PLACES = { bar: 2, '[psi]': 1, kPa: 0 } as const;
export const PRESSURE: Measure = {
  unit: pressureUnit,
  shown: pressureFromKpa,
  kept: pressureToKpa,
  places: (units) => PRESSURE_PLACES[units.pressure],
};
export const PRESSURE_CHANGE: Measure = { ...PRESSURE, places: (units) => PRESSURE_PLACES[units.pressure] + 1 };
export const TEMPERATURE: Measure = {
  unit: temperatureUnit,
  shown: temperatureFromC,
  kept: temperatureToC,
  places: () => 1,
};
/** A difference of temperatures: the offset of the scale does not count. */
export const DEGREES: Measure = {
  unit: temperatureUnit,
  shown: (value, units) => (units.temperature === 'Cel' ? value : value * 1.8),
  kept: (shown, units) => (units.temperature === 'Cel' ? shown : shown / 1.8),
  places: () => 1,
};
export const VOLUME: Measure = { unit: volumeUnit, shown: volumeFromL, kept: volumeToL, places: () => 1 };
export const HOURS = plainly('h', 0);

/** "0.55 bar" */
export function measured(measure: Measure, value: number, units: Units): string {
  const unit = measure.unit(units);
  return `${digits(measure.shown(value, units), measure.places(units))}${unit === '' ? '' : `\u00a0${unit}`}`;
}

/** A number as somebody would type it into a field. */
export function typedNumber(measure: Measure, value: number, units: Units): string {
  return digits(measure.shown(value, units), measure.places(units)).replace('−', '-');
}

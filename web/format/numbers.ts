import type { Units } from '../../src/contract/catalogue.ts';
import { convert } from '../../src/physics/units.ts';

/** No-break space: a value and its unit never part. */
const SPACE = '\u00a0';
/** Grams of CO2 per litre in one volume. @source real-gas density of CO2 at 0 °C and 101.325 kPa: 1.977 g/L */
export const GRAMS_PER_LITRE_PER_VOLUME = 1.977;
/** Litres in one US gallon, exact by definition. @source NIST SP 811, appendix B */
const LITRES_PER_GALLON = 3.785411784;

export const DEFAULT_UNITS: Units = { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes', volume: 'L' };

/** A number with fixed digits, a true minus, and never "−0.0". */
export function digits(value: number, places: number): string {
  const text = Math.abs(value).toFixed(places);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

const TEMPERATURE_UNIT = { Cel: '°C', '[degF]': '°F' } as const;
const PRESSURE_UNIT = { bar: 'bar', '[psi]': 'psi', kPa: 'kPa' } as const;
const PRESSURE_PLACES = { bar: 2, '[psi]': 1, kPa: 0 } as const;
const CARBONATION_PLACES = { volumes: 2, 'g/L': 1 } as const;

export const temperatureUnit = (units: Units): string => TEMPERATURE_UNIT[units.temperature];
export const pressureUnit = (units: Units): string => PRESSURE_UNIT[units.pressure];
export const carbonationUnit = (units: Units): string => units.carbonation;
export const volumeUnit = (units: Units): string => (units.volume === 'L' ? 'L' : 'gal');

/** Shown number from °C, and back. */
export const temperatureFromC = (celsius: number, units: Units): number => convert(celsius, 'Cel', units.temperature);
export const temperatureToC = (shown: number, units: Units): number => convert(shown, units.temperature, 'Cel');
export const pressureFromKpa = (kpa: number, units: Units): number => convert(kpa, 'kPa', units.pressure);
export const pressureToKpa = (shown: number, units: Units): number => convert(shown, units.pressure, 'kPa');
export const carbonationFromVolumes = (volumes: number, units: Units): number =>
  units.carbonation === 'volumes' ? volumes : volumes * GRAMS_PER_LITRE_PER_VOLUME;
export const carbonationToVolumes = (shown: number, units: Units): number =>
  units.carbonation === 'volumes' ? shown : shown / GRAMS_PER_LITRE_PER_VOLUME;
export const volumeFromL = (litres: number, units: Units): number =>
  units.volume === 'L' ? litres : litres / LITRES_PER_GALLON;
export const volumeToL = (shown: number, units: Units): number =>
  units.volume === 'L' ? shown : shown * LITRES_PER_GALLON;

/** "1.4 °C": as many digits as a probe can justify. */
export function temperature(celsius: number, units: Units): string {
  return `${digits(temperatureFromC(celsius, units), 1)}${SPACE}${temperatureUnit(units)}`;
}

/** A difference of temperatures: the offset of the scale does not count. */
export function temperatureDifference(celsius: number, units: Units): string {
  const shown = units.temperature === 'Cel' ? celsius : celsius * 1.8;
  return `${digits(shown, 1)}${SPACE}${temperatureUnit(units)}`;
}

/** "88 kPa", "12.7 psi", "8 psi", "0.88 bar": as the service writes them in its sentences. */
export function pressure(kpa: number, units: Units): string {
  const number = digits(pressureFromKpa(kpa, units), PRESSURE_PLACES[units.pressure]);
  return `${units.pressure === '[psi]' ? number.replace(/\.0$/, '') : number}${SPACE}${pressureUnit(units)}`;
}

/** A small change of pressure, with one digit more than a pressure: "0.4 kPa", "0.06 psi", "0.004 bar". */
export function pressureChange(kpa: number, units: Units): string {
  return `${pressureChangeNumber(kpa, units)}${SPACE}${pressureUnit(units)}`;
}
export const pressureChangeNumber = (kpa: number, units: Units): string =>
  digits(pressureFromKpa(kpa, units), PRESSURE_PLACES[units.pressure] + 1);

/** A small difference of carbonation: "0.08 volumes" or "0.16 g/L". */
export function carbonationDifference(volumes: number, units: Units): string {
  return `${digits(carbonationFromVolumes(volumes, units), 2)}${SPACE}${carbonationUnit(units)}`;
}

/** The number alone, for scales and labels beside which the unit stands. */
export function carbonationNumber(volumes: number, units: Units): string {
  return digits(carbonationFromVolumes(volumes, units), CARBONATION_PLACES[units.carbonation]);
}

/** "2.38 volumes" or "4.7 g/L". */
export function carbonation(volumes: number, units: Units): string {
  return `${carbonationNumber(volumes, units)}${SPACE}${carbonationUnit(units)}`;
}

/** "15.2 L" or "4.0 gal". */
export function volume(litres: number, units: Units): string {
  return `${digits(volumeFromL(litres, units), 1)}${SPACE}${volumeUnit(units)}`;
}

const PLAIN_UNIT: Readonly<Record<string, string>> = {
  '[ppm]': 'ppm',
  kg: 'kg',
  g: 'g',
  h: 'h',
  min: 'min',
  '%': '%',
  L: 'L',
  'L/min': 'L/min',
};

/** A value in a UCUM unit of the API, in the units the reader picked. Text stays text; nothing known is a dash. */
export function measure(value: number | string | null, ucumCode: string | null, units: Units): string {
  if (value === null) return '–';
  if (typeof value === 'string') return value;
  switch (ucumCode) {
    case 'Cel':
      return temperature(value, units);
    case 'kPa':
      return pressure(value, units);
    case '{volumes}':
      return carbonation(value, units);
    case 'L':
      return volume(value, units);
    case null:
      return digits(value, Number.isInteger(value) ? 0 : 1);
    default:
      return convertible(value, ucumCode, units);
  }
}

/** Probes may speak in any accepted unit; those of temperature and pressure are shown as the reader likes them. */
function convertible(value: number, ucumCode: string, units: Units): string {
  if (ucumCode === '[degF]' || ucumCode === 'K') return temperature(convert(value, ucumCode, 'Cel'), units);
  if (ucumCode === 'bar' || ucumCode === 'mbar' || ucumCode === '[psi]' || ucumCode === 'Pa') {
    return pressure(convert(value, ucumCode, 'kPa'), units);
  }
  const places = ucumCode === '[ppm]' || Number.isInteger(value) ? 0 : 1;
  return `${digits(value, places)}${SPACE}${PLAIN_UNIT[ucumCode] ?? ucumCode}`;
}

/** Steps of 1, 2 or 5 times a power of ten: at most `most` of them lie in the range. */
export function niceTicks(low: number, high: number, most: number): number[] {
  const rough = (high - low) / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((multiple) => multiple * power >= rough - 1e-12) ?? 10);
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => (first + index) * step);
}

/** A tick's label: no more digits than the step needs. */
export function tickText(value: number, step: number): string {
  return digits(value, Math.max(0, Math.min(3, -Math.floor(Math.log10(step) + 1e-9))));
}

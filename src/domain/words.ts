import { gramsPerLitreOfVolumes } from '../physics/co2.ts';
import { convert, volumes } from '../physics/units.ts';
import type { HoursAhead } from './estimate/types.ts';

/** Units in which the installation's people read and speak. */
export interface SpokenUnits {
  readonly temperature: 'Cel' | '[degF]';
  readonly pressure: 'bar' | '[psi]' | 'kPa';
  readonly carbonation: 'volumes' | 'g/L';
}

const MINUS = '\u2212';
const NO_BREAK = '\u00a0';

/** A number with a true minus sign. */
function figures(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** "1.4 °C" or "34.5 °F"; value and unit never part. */
export function temperatureWords(celsius: number, units: Pick<SpokenUnits, 'temperature'>): string {
  const sign = units.temperature === 'Cel' ? '°C' : '°F';
  return `${figures(convert(celsius, 'Cel', units.temperature), 1)}${NO_BREAK}${sign}`;
}

/** "9 psi", "0.62 bar" or "62 kPa": as fine as a regulator can be set. */
export function pressureWords(kpa: number, units: Pick<SpokenUnits, 'pressure'>): string {
  const value = convert(kpa, 'kPa', units.pressure);
  if (units.pressure === 'bar') return `${figures(value, 2)}${NO_BREAK}bar`;
  if (units.pressure === 'kPa') return `${figures(value, 0)}${NO_BREAK}kPa`;
  return `${figures(value, 1).replace(/\.0$/, '')}${NO_BREAK}psi`;
}

/** "2.51 volumes" or "5.0 g/L". */
export function carbonationWords(carbonation: number, units: Pick<SpokenUnits, 'carbonation'>): string {
  return `${carbonationFigures(carbonation, units)}${NO_BREAK}${units.carbonation}`;
}

/** The number alone: "2.51" or "5.0". */
export function carbonationFigures(carbonation: number, units: Pick<SpokenUnits, 'carbonation'>): string {
  if (units.carbonation === 'volumes') return figures(carbonation, 2);
  return figures(gramsPerLitreOfVolumes(volumes(carbonation)), 1);
}

/** "12 s", "5 min", "3 h" or "2 days": the age of something, coarse on purpose. */
export function ageWords(ageMs: number): string {
  const seconds = Math.max(0, Math.round(ageMs / 1000));
  if (seconds < 60) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.round(minutes / 60);
  if (hours < 48) return `${hours} h`;
  return `${Math.round(hours / 24)} days`;
}

/** "about 7 h" or "about 2 to 5 days": a time ahead, with its range where that says more than one figure. */
export function spanWords({ hours, lowHours, highHours }: HoursAhead): string {
  const inDays = hours >= 48;
  const figure = (value: number) => Math.max(1, Math.round(inDays ? value / 24 : value));
  const [low, middle, high] = [lowHours, hours, highHours].map(figure) as [number, number, number];
  const unit = (count: number) => (inDays ? (count === 1 ? 'day' : 'days') : 'h');
  const isSure = high - low <= Math.max(1, 0.5 * middle);
  return isSure ? `about ${middle}${NO_BREAK}${unit(middle)}` : `about ${low} to ${high}${NO_BREAK}${unit(high)}`;
}

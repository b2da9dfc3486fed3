import { convert } from '../physics/units.ts';

/** Units in which the installation's people read and speak. */
export interface SpokenUnits {
  readonly temperature: 'Cel' | '[degF]';
  readonly pressure: 'bar' | '[psi]' | 'kPa';
}

const MINUS = '\u2212';
const NO_BREAK = '\u00a0';

/** A number with a true minus sign. */
function figures(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** "1.4 °C" or "34.5 °F"; value and unit never part. */
export function temperatureWords(celsius: number, units: SpokenUnits): string {
  const sign = units.temperature === 'Cel' ? '°C' : '°F';
  return `${figures(convert(celsius, 'Cel', units.temperature), 1)}${NO_BREAK}${sign}`;
}

/** "9 psi", "0.62 bar" or "62 kPa": as fine as a regulator can be set. */
export function pressureWords(kpa: number, units: SpokenUnits): string {
  const value = convert(kpa, 'kPa', units.pressure);
  if (units.pressure === 'bar') return `${figures(value, 2)}${NO_BREAK}bar`;
  if (units.pressure === 'kPa') return `${figures(value, 0)}${NO_BREAK}kPa`;
  return `${figures(value, 1).replace(/\.0$/, '')}${NO_BREAK}psi`;
}

/** "2.51 volumes". */
export function volumesWords(volumes: number): string {
  return `${figures(volumes, 2)} volumes`;
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

import type { Batch, Units } from '../../../src/contract/catalogue.ts';
import {
  DEGREES,
  HOURS,
  type Measure,
  measured,
  PRESSURE,
  PRESSURE_CHANGE,
  plainly,
  TEMPERATURE,
  typedNumber,
  VOLUME,
} from '../../format/measures.ts';
import type { Trouble } from '../../store/api.ts';
import { isWrongNumber, numberFrom } from '../form/field.tsx';

export type Limits = Batch['limits'];
export type LimitName = keyof Limits;
/** The form as typed: an empty field means the usual limit. */
export type LimitFields = Readonly<Record<LimitName, string>>;

interface Limit {
  readonly name: LimitName;
  readonly label: string;
  /** As the service has it for who sets none; in its own unit. */
  readonly usual: number;
  readonly measure: Measure;
}

/** Limits of the beer, and of what is at hand on the day it is filled. */
export const BEER_LIMITS: readonly Limit[] = [
  { name: 'coldMarginC', label: 'Still cold, above the fill temperature', usual: 0.2, measure: DEGREES },
  { name: 'servingKpaLow', label: 'Serving pressure from', usual: 55, measure: PRESSURE },
  { name: 'servingKpaHigh', label: 'Serving pressure to', usual: 83, measure: PRESSURE },
  { name: 'steadyKpa', label: 'Pressure moves in half an hour, at most', usual: 5, measure: PRESSURE_CHANGE },
  { name: 'steadyC', label: 'Temperature moves in half an hour, at most', usual: 1, measure: DEGREES },
  { name: 'restHours', label: 'Rest after it was moved, shaken or vented', usual: 12, measure: HOURS },
  { name: 'aheadHours', label: 'Stays in its window for', usual: 12, measure: HOURS },
];
export const DAY_LIMITS: readonly Limit[] = [
  { name: 'purgeKpaLow', label: 'Purge pressure from', usual: 90, measure: PRESSURE },
  { name: 'purgeKpaHigh', label: 'Purge pressure to', usual: 117, measure: PRESSURE },
  { name: 'bottlesC', label: 'Bottles at most', usual: 4, measure: TEMPERATURE },
  { name: 'beerLitres', label: 'Nearly empty below', usual: 1, measure: VOLUME },
  { name: 'gasKg', label: 'Gas nearly gone below', usual: 0.3, measure: plainly('kg', 1) },
];
const ALL_LIMITS = [...BEER_LIMITS, ...DAY_LIMITS];

/** "0.55 bar" */
export function limitWords({ measure }: Limit, value: number, units: Units): string {
  return measured(measure, value, units);
}

export const limitLabel = ({ label, measure }: Limit, units: Units): string => `${label}, ${measure.unit(units)}`;
export const pointerOf = (name: LimitName): string => `/limits/${name}`;

/** Labels of the fields, by the pointers of what is sent. */
export const LIMIT_LABELS: Readonly<Record<string, string>> = Object.fromEntries(
  ALL_LIMITS.map(({ name, label }) => [pointerOf(name), label]),
);

export function limitFields(limits: Limits, units: Units): LimitFields {
  const fields = ALL_LIMITS.map(({ name, measure }) => {
    const value = limits[name];
    return [name, value === undefined ? '' : typedNumber(measure, value, units)] as const;
  });
  return { ...NO_FIELDS, ...Object.fromEntries(fields) };
}

const NO_FIELDS: LimitFields = {
  coldMarginC: '',
  servingKpaLow: '',
  servingKpaHigh: '',
  steadyKpa: '',
  steadyC: '',
  restHours: '',
  aheadHours: '',
  purgeKpaLow: '',
  purgeKpaHigh: '',
  bottlesC: '',
  beerLitres: '',
  gasKg: '',
};

/**
 * All limits that are to differ from the usual ones; null if a field holds no number. What was not touched is kept as it
 * is: shown with few digits and read again, it would wander.
 */
export function readLimits(fields: LimitFields, kept: Limits, units: Units): Limits | null {
  if (Object.values(fields).some(isWrongNumber)) return null;
  const before = limitFields(kept, units);
  const said = ALL_LIMITS.flatMap(({ name, measure }) => {
    const typed = numberFrom(fields[name]);
    if (typed === null) return [];
    const value = fields[name] === before[name] ? kept[name] : measure.kept(typed, units);
    return value === undefined ? [] : [[name, Number(value.toFixed(6))] as const];
  });
  return Object.fromEntries(said);
}

/** The service names the field that a limit must exceed: here the reader sees only its label. */
export function plainTrouble(trouble: Trouble | null): Trouble | null {
  if (trouble === null) return null;
  return {
    ...trouble,
    errors: trouble.errors.map((error) => ({
      ...error,
      detail: error.detail.replace(/ above \w+KpaLow$/, ' above the lowest; an empty field means the usual one'),
    })),
  };
}

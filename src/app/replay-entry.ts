import type { ReplayEvent } from '../contract/replay.ts';
import { BASE_UNIT, type Dimension, dimensionOf, toBaseUnit, unitsOf } from '../physics/units.ts';

/** A line of a replay's events in the words of an event entry; still to be checked as one. */
export type PlainEntry =
  | { readonly ok: true; readonly entry: Readonly<Record<string, unknown>> }
  | { readonly ok: false; readonly reason: string };

/** Where the one number of a kind goes, by what it measures; `count` is a number without a unit. */
type Places = Partial<Record<Dimension | 'count', string>>;

const VALUE_PLACES: Partial<Record<ReplayEvent['kind'], Places>> = {
  'regulator-set': { pressure: 'kpaGauge' },
  'fridge-set': { temperature: 'celsius' },
  'target-set': { count: 'volumes', temperature: 'celsius' },
  'headspace-purged': { count: 'times', pressure: 'kpaGauge' },
  'keg-shaken': { duration: 'seconds' },
  'beer-drawn': { volume: 'litres' },
  'keg-weighed': { mass: 'kg' },
  'sample-measured': { count: 'volumes' },
};

/** UCUM for a plain number, and its note for volumes of CO2. */
const COUNTS: readonly string[] = ['1', '{volumes}'];
/** Tolerance of a target that names none (volumes), as wide as the default window. */
const USUAL_TOLERANCE = 0.25;

/** Brings `t` to `at` and `value` with `unit` to the field that the kind has for it. */
export function plainEntry(event: ReplayEvent): PlainEntry {
  const { t, at, keg: _keg, eventId: _id, enteredAt: _enteredAt, value, unit, ...rest } = event;
  if (t !== undefined && at !== undefined && Date.parse(t) !== Date.parse(at)) {
    return { ok: false, reason: `t says ${t} and at says ${at}; give one of them` };
  }
  const entry: Record<string, unknown> = { at: at ?? t, ...rest };
  if (entry.at === undefined) return { ok: false, reason: 't: say when it happened, as 2026-03-01T18:30:00Z' };
  if (rest.kind === 'target-set') entry.tolerance ??= USUAL_TOLERANCE;
  if (value === undefined) return { ok: true, entry };
  return placeValue(entry, rest.kind, value, unit);
}

function placeValue(
  entry: Readonly<Record<string, unknown>>,
  kind: ReplayEvent['kind'],
  value: number,
  unit: string | undefined,
): PlainEntry {
  const places: [string, string][] = Object.entries(VALUE_PLACES[kind] ?? {});
  const first = places[0];
  if (first === undefined) return { ok: false, reason: `value: ${kind} has no number; leave value out` };
  const measured = unit === undefined ? first[0] : COUNTS.includes(unit) ? 'count' : dimensionOf(unit);
  const field = places.find(([dimension]) => dimension === measured)?.[1];
  if (field === undefined) {
    const wanted = places.flatMap(([dimension]) => (isDimension(dimension) ? unitsOf(dimension) : COUNTS));
    return { ok: false, reason: `unit: ${kind} takes no ${unit}; give one of ${wanted.join(', ')}` };
  }
  if (entry[field] !== undefined) return { ok: false, reason: `value and ${field} both say it; give one of them` };
  const inBase = unit === undefined || COUNTS.includes(unit) ? value : toBaseUnit(value, unit);
  return { ok: true, entry: { ...entry, [field]: inBase } };
}

function isDimension(text: string): text is Dimension {
  return Object.hasOwn(BASE_UNIT, text);
}

import { airPressureAtAltitude } from '../physics/atmosphere.ts';
import { metres } from '../physics/units.ts';
import { calibrated, type Probe } from './probe.ts';
import { type FreshLimits, type Freshness, freshLimits, freshnessAt, type ProbeRhythm } from './probe-health.ts';
import { QUANTITY_RULES, type Quantity } from './quantity.ts';

/** The newest value of a probe that bears on a keg. */
export interface KegInput {
  readonly quantity: Quantity;
  readonly probeId: string;
  /** Calibrated; pressures gauge (ambient-pressure absolute), in the quantity's unit. */
  readonly value: number;
  readonly unit: string;
  readonly measuredAtMs: number;
  readonly ageMs: number;
  readonly freshness: Freshness;
  readonly limits: FreshLimits;
  /** Why it is stale whatever its age; null: nothing is. */
  readonly amiss: Amiss | null;
}

/** Why nothing rests on what a probe says: its device says that it is offline, or it repeats one value. */
export interface Amiss {
  readonly kind: 'offline' | 'stuck';
  /** Null: since before we listened (ms). */
  readonly sinceMs: number | null;
}

export type AmbientFrom = 'barometer' | 'batch-altitude' | 'site-altitude' | 'assumed-sea-level';

export interface Ambient {
  readonly kpaAbsolute: number;
  readonly from: AmbientFrom;
}

/** Local air pressure: a fresh barometer, else the altitude entered with the batch, else the site's. */
export function ambientPressure(
  barometer: KegInput | null,
  batchAltitudeMetres: number | null,
  site: { readonly altitudeM: number; readonly altitudeIsSet: boolean },
): Ambient {
  if (barometer !== null && barometer.freshness === 'fresh') {
    return { kpaAbsolute: barometer.value, from: 'barometer' };
  }
  const altitudeM = batchAltitudeMetres ?? site.altitudeM;
  const kpaAbsolute = airPressureAtAltitude(metres(altitudeM));
  if (batchAltitudeMetres !== null) return { kpaAbsolute, from: 'batch-altitude' };
  return { kpaAbsolute, from: site.altitudeIsSet ? 'site-altitude' : 'assumed-sea-level' };
}

/** The newest reading of a probe, as it came, and how often the probe speaks. */
export interface LiveValue {
  readonly probe: Probe;
  readonly value: number;
  readonly rhythm: ProbeRhythm;
  /** Left out: nothing is. */
  readonly amiss?: Amiss | null;
}

/** Whether a probe's newest value can be relied on. */
export function freshnessOf({ rhythm, amiss }: Pick<LiveValue, 'rhythm' | 'amiss'>, nowMs: number): Freshness {
  if (amiss !== undefined && amiss !== null) return 'stale';
  return freshnessAt(freshLimits(rhythm), Math.max(0, nowMs - rhythm.lastMeasuredAtMs));
}

/**
 * The inputs of a keg from the newest readings of its probes: calibrated, absolute sensors brought to gauge by the local
 * air pressure. Of several probes of one quantity the one heard last counts, of those with which nothing
 * is amiss.
 */
export function collectInputs(
  values: readonly LiveValue[],
  batchAltitudeMetres: number | null,
  site: { readonly altitudeM: number; readonly altitudeIsSet: boolean },
  nowMs: number,
): KegInput[] {
  const inputs = values
    .map((value) => toInput(value, nowMs))
    .toSorted((a, b) => Number(a.amiss !== null) - Number(b.amiss !== null) || b.measuredAtMs - a.measuredAtMs);
  const newest = [...Map.groupBy(inputs, (input) => input.quantity).values()].flatMap((same) => same.slice(0, 1));
  const barometer = newest.find((input) => input.quantity === 'ambient-pressure') ?? null;
  const ambient = ambientPressure(barometer, batchAltitudeMetres, site);
  const absolute = new Set(values.filter(({ probe }) => isAbsoluteSensor(probe)).map(({ probe }) => probe.probeId));
  const order = Object.keys(QUANTITY_RULES);
  return newest
    .map((input) => (absolute.has(input.probeId) ? { ...input, value: input.value - ambient.kpaAbsolute } : input))
    .toSorted((a, b) => order.indexOf(a.quantity) - order.indexOf(b.quantity));
}

/** A sensor of absolute pressure where gauge pressure is wanted. */
export function isAbsoluteSensor(probe: Probe): boolean {
  return probe.reference === 'absolute' && QUANTITY_RULES[probe.quantity].reference === 'gauge';
}

function toInput(live: LiveValue, nowMs: number): KegInput {
  const { probe, value, rhythm, amiss = null } = live;
  const measuredAtMs = rhythm.lastMeasuredAtMs;
  const ageMs = Math.max(0, nowMs - measuredAtMs);
  return {
    quantity: probe.quantity,
    probeId: probe.probeId,
    value: calibrated(probe, value, measuredAtMs),
    unit: QUANTITY_RULES[probe.quantity].unit,
    measuredAtMs,
    ageMs,
    freshness: freshnessOf(live, nowMs),
    limits: freshLimits(rhythm),
    amiss,
  };
}

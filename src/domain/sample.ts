import { dimensionOf, toBaseUnit } from '../physics/units.ts';
import type { Probe } from './probe.ts';
import { QUANTITY_RULES } from './quantity.ts';
import type { Reading, TimeFrom } from './reading.ts';

/** A value as a message gave it. */
export interface Sample {
  readonly value: number;
  /** UCUM code, or null if the message named none. */
  readonly unit: string | null;
  /** As the message told it; null if it named no time. */
  readonly time: SampleTime | null;
}

export type SampleTime =
  | { readonly kind: 'instant'; readonly atMs: number }
  /** Unix time in the probe's unit (s or ms). */
  | { readonly kind: 'number'; readonly value: number }
  /** Before (negative) or after the message was received. */
  | { readonly kind: 'relative'; readonly offsetMs: number };

export type SampleOutcome =
  | { readonly ok: true; readonly reading: Reading }
  | { readonly ok: false; readonly reason: string };

/** How far a device's time in a live message may lie from the time of receipt. */
const OLDEST_DEVICE_MS = 7 * 24 * 3600_000;
const FUTURE_DEVICE_MS = 2 * 60_000;
/** Times past this are no time of a reading that anybody means (year 2100). */
const LAST_MS = 4_102_444_800_000;

/** No value of any quantity in any accepted unit is larger. */
const MAGNITUDE_MAX = 1e12;

/** Which device times are believed: `live` keeps to the window around receipt, `import` takes any past time. */
export type TimePolicy = 'live' | 'import';

/** Turns a probe's sample into a reading in the quantity's unit, or says why it cannot be one. */
export function readSample(probe: Probe, sample: Sample, receivedAtMs: number, policy: TimePolicy): SampleOutcome {
  const rule = QUANTITY_RULES[probe.quantity];
  const unit = sample.unit ?? probe.unit ?? rule.unit;
  const dimension = dimensionOf(unit);
  if (dimension === null) return { ok: false, reason: `unit ${unit} is unknown; use a UCUM code such as ${rule.unit}` };
  if (dimension !== rule.dimension) {
    return { ok: false, reason: `${probe.quantity} is a ${rule.dimension}, but ${unit} is a unit of ${dimension}` };
  }
  const impossible = {
    ok: false,
    reason: `${sample.value} ${unit} is outside what ${probe.quantity} can be (${rule.low} to ${rule.high} ${rule.unit})`,
  } as const;
  // Far beyond every quantity, and near enough that no conversion overflows.
  if (!(Math.abs(sample.value) <= MAGNITUDE_MAX)) return impossible;
  const value = toBaseUnit(sample.value, unit);
  if (rule.sentinels.includes(sample.value) && unit === rule.unit) {
    return { ok: false, reason: `${sample.value} ${unit} is what such a sensor says when it has no value` };
  }
  // Calibration and an absolute sensor shift the value later; the limits leave room for both.
  const slack = probe.reference === 'absolute' && rule.reference === 'gauge' ? 120 : 0;
  if (!(value >= rule.low && value <= rule.high + slack)) return impossible;
  const { atMs, timeFrom } = chooseTime(sample, probe.timeUnit, receivedAtMs, policy);
  return { ok: true, reading: { probeId: probe.probeId, measuredAtMs: atMs, value, receivedAtMs, timeFrom } };
}

function chooseTime(
  sample: Sample,
  timeUnit: 's' | 'ms' | null,
  receivedAtMs: number,
  policy: TimePolicy,
): { atMs: number; timeFrom: TimeFrom } {
  if (sample.time === null) return { atMs: receivedAtMs, timeFrom: 'receipt' };
  const deviceMs = toInstantMs(sample.time, timeUnit, receivedAtMs);
  const believed =
    policy === 'live'
      ? deviceMs >= receivedAtMs - OLDEST_DEVICE_MS && deviceMs <= receivedAtMs + FUTURE_DEVICE_MS
      : deviceMs > 0 && deviceMs < LAST_MS && deviceMs <= receivedAtMs + FUTURE_DEVICE_MS;
  return believed
    ? { atMs: Math.round(deviceMs), timeFrom: 'device' }
    : { atMs: receivedAtMs, timeFrom: 'receipt-device-refused' };
}

function toInstantMs(time: SampleTime, timeUnit: 's' | 'ms' | null, receivedAtMs: number): number {
  switch (time.kind) {
    case 'instant':
      return time.atMs;
    case 'number':
      return epochMs(time.value, timeUnit);
    case 'relative':
      return receivedAtMs + time.offsetMs;
  }
}

/** Unix seconds or milliseconds as pinned; unpinned, by size: 1e11 s lies in the year 5138, 1e11 ms in 1973. */
function epochMs(value: number, timeUnit: 's' | 'ms' | null): number {
  const seconds = timeUnit === null ? Math.abs(value) < 1e11 : timeUnit === 's';
  return seconds ? value * 1000 : value;
}

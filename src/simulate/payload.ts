import { fromBaseUnit } from '../physics/units.ts';

/** How a probe writes its values. */
export interface PayloadForm {
  readonly shape: 'number' | 'object' | 'senml';
  /** UCUM code. A bare number is in this unit without saying so. */
  readonly unit: string;
  /** How the time is written; null: not at all. A SenML pack always writes Unix seconds, if any. */
  readonly time: 'rfc3339' | 'unix-s' | 'unix-ms' | null;
  readonly decimals: number;
}

/** SenML's own names for units it has; others are sent in its base unit. @source RFC 8428 and the IANA SenML units registry */
const SENML: Readonly<Record<string, { readonly unit: string; readonly via: string }>> = {
  Cel: { unit: 'Cel', via: 'Cel' },
  '[degF]': { unit: 'Cel', via: 'Cel' },
  kPa: { unit: 'Pa', via: 'Pa' },
  bar: { unit: 'Pa', via: 'Pa' },
  '[psi]': { unit: 'Pa', via: 'Pa' },
  Pa: { unit: 'Pa', via: 'Pa' },
  kg: { unit: 'kg', via: 'kg' },
};

const rounded = (value: number, decimals: number): number => Number(value.toFixed(decimals));

function timeText(timeMs: number, form: 'rfc3339' | 'unix-s' | 'unix-ms'): string | number {
  if (form === 'rfc3339') return new Date(timeMs).toISOString();
  return form === 'unix-s' ? Math.round(timeMs / 1000) : timeMs;
}

/** The payload for a value in its base unit (°C, kPa, kg) taken at a time of the device's clock. */
export function writePayload(baseValue: number, timeMs: number, quantity: string, form: PayloadForm): string {
  if (form.shape === 'senml') {
    const { unit, via } = SENML[form.unit] ?? { unit: form.unit, via: form.unit };
    const decimals = via === 'Pa' ? 0 : form.decimals;
    const record = { n: quantity, u: unit, v: rounded(fromBaseUnit(baseValue, via), decimals) };
    return JSON.stringify([form.time === null ? record : { ...record, t: timeMs / 1000 }]);
  }
  const value = rounded(fromBaseUnit(baseValue, form.unit), form.decimals);
  if (form.shape === 'number') return String(value);
  return JSON.stringify({
    value,
    unit: form.unit,
    ...(form.time === null ? {} : { time: timeText(timeMs, form.time) }),
  });
}

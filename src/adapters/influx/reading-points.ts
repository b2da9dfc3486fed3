import type { IPoint } from 'influx';
import type { Reading, StoredReading, TimeFrom } from '../../domain/reading.ts';
import { storedValue } from '../../domain/storable-reading.ts';
import type { InfluxSeries } from './influx-connection.ts';
import { MEASUREMENT } from './influx-connection.ts';

/** InfluxDB files points by the nanosecond. Readings are filed by the millisecond and their ordinal less one. */
const ORDINALS_MAX = 1_000_000;

/** A reading that is not in the store yet. */
export interface NewReading {
  readonly reading: Reading;
  readonly ordinal: number;
}

export interface AppendPlan {
  readonly fresh: NewReading[];
  readonly crowded: Reading[];
  readonly duplicates: number;
}

/** Values per probe and time, in order of ordinal. */
export class KnownValues {
  #values = new Map<string, Map<number, number[]>>();

  at(probeId: string, timeMs: number): readonly number[] {
    return this.#values.get(probeId)?.get(timeMs) ?? [];
  }

  add(probeId: string, timeMs: number, value: number): void {
    const times = this.#values.get(probeId) ?? new Map<number, number[]>();
    const values = times.get(timeMs) ?? [];
    values.push(value);
    times.set(timeMs, values);
    this.#values.set(probeId, times);
  }

  has(reading: Reading): boolean {
    return this.at(reading.probeId, reading.measuredAtMs).includes(storedValue(reading.value));
  }
}

/** Tells new readings from duplicates and numbers the new ones; `known` learns them on the way. */
export function planAppend(readings: readonly Reading[], known: KnownValues): AppendPlan {
  const fresh: NewReading[] = [];
  const crowded: Reading[] = [];
  let duplicates = 0;
  for (const reading of readings) {
    const { probeId, measuredAtMs } = reading;
    const ordinal = known.at(probeId, measuredAtMs).length + 1;
    if (known.has(reading)) duplicates += 1;
    else if (ordinal > ORDINALS_MAX) crowded.push(reading);
    else {
      known.add(probeId, measuredAtMs, storedValue(reading.value));
      fresh.push({ reading, ordinal });
    }
  }
  return { fresh, crowded, duplicates };
}

/**
 * The point of a reading. Its time is the reading's in nanoseconds, plus ordinal less one: so a second value of the same
 * millisecond does not overwrite the first, order and limits of queries come out right, and sending again overwrites
 * the same point with itself.
 */
export function pointOf({ reading, ordinal }: NewReading): IPoint {
  return {
    measurement: MEASUREMENT,
    tags: { probe: probeTag(reading.probeId) },
    fields: {
      value: storedValue(reading.value),
      receivedAtMs: reading.receivedAtMs,
      timeFrom: reading.timeFrom,
    },
    timestamp: String(BigInt(reading.measuredAtMs) * 1_000_000n + BigInt(ordinal - 1)),
  };
}

/** Line protocol cannot carry line breaks and treats a backslash at the end as an escape; these go as %XX. */
const UNSAFE = /[%\\\p{Cc}]/gu;

/** The probe's id as the value of the tag `probe`: itself, but for per cent, backslash and control characters. */
export const probeTag = (probeId: string): string =>
  probeId.replace(UNSAFE, (character) => `%${character.charCodeAt(0).toString(16).toUpperCase().padStart(2, '0')}`);

export const probeIdOfTag = (tag: string): string =>
  tag.replace(/%([0-9A-F]{2})/g, (_, code: string) => String.fromCharCode(Number.parseInt(code, 16)));

/** Rows of columns time, value, receivedAtMs, timeFrom. */
export function readingsIn(probeId: string, series: readonly InfluxSeries[]): StoredReading[] {
  return series.flatMap(({ values }) =>
    values.map(([time, value, receivedAtMs, timeFrom]) => ({
      probeId,
      measuredAtMs: timeMsOf(time),
      value: Number(value),
      receivedAtMs: Number(receivedAtMs),
      timeFrom: timeFromOf(timeFrom),
      ordinal: ordinalOf(time),
    })),
  );
}

/** Whole milliseconds of a time such as 2026-06-01T12:00:00.123000001Z; what is beyond them is the ordinal. */
export function timeMsOf(time: unknown): number {
  const [toSecond = '', fraction = ''] = String(time).replace('Z', '').split('.');
  return Date.parse(`${toSecond}.${fraction.padEnd(3, '0').slice(0, 3)}Z`);
}

function ordinalOf(time: unknown): number {
  const [, fraction = ''] = String(time).replace('Z', '').split('.');
  return Number(fraction.padEnd(9, '0').slice(3)) + 1;
}

const TIME_FROM: readonly TimeFrom[] = ['device', 'receipt', 'receipt-device-refused'];

function timeFromOf(text: unknown): TimeFrom {
  return TIME_FROM.find((one) => one === text) ?? 'receipt-device-refused';
}

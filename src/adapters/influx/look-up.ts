import type { Reading } from '../../domain/reading.ts';
import { type InfluxConnection, MEASUREMENT } from './influx-connection.ts';
import { KnownValues, probeTag, timeMsOf } from './reading-points.ts';

/** Readings of one probe closer than this are looked up in one stretch. */
const GAP_MS_MIN = 600_000;
/** However scattered a batch is, a probe has at most this many stretches. */
const STRETCHES_MAX = 64;

interface Stretch {
  readonly probeId: string;
  readonly fromMs: number;
  /** Inclusive. */
  lastMs: number;
}

/** What the store holds around the times of a batch: one request, one statement a stretch. */
export async function lookUp(connection: InfluxConnection, readings: readonly Reading[]): Promise<KnownValues> {
  const known = new KnownValues();
  const stretches = stretchesOf(readings);
  if (stretches.length === 0) return known;
  const parameters: Record<string, string> = {};
  const statements = stretches.map(({ probeId, fromMs, lastMs }, i) => {
    parameters[`probe${i}`] = probeTag(probeId);
    parameters[`from${i}`] = new Date(fromMs).toISOString();
    parameters[`to${i}`] = new Date(lastMs + 1).toISOString();
    return `SELECT value FROM ${MEASUREMENT} WHERE probe = $probe${i} AND time >= $from${i} AND time < $to${i}`;
  });
  const answers = await connection.query(statements.join('; '), parameters);
  for (const [i, { probeId }] of stretches.entries()) {
    for (const series of answers[i] ?? []) {
      for (const [time, value] of series.values) known.add(probeId, timeMsOf(time), Number(value));
    }
  }
  return known;
}

/**
 * Splits the times of a batch into few stretches that hold them. A batch that mixes live readings with some of last week
 * must not fetch the whole week.
 */
export function stretchesOf(readings: readonly Reading[]): Stretch[] {
  const stretches: Stretch[] = [];
  for (const [probeId, own] of Map.groupBy(readings, (reading) => reading.probeId)) {
    const times = own.map((reading) => reading.measuredAtMs).sort((a, b) => a - b);
    const [first = 0, last = 0] = [times[0], times.at(-1)];
    const gapMs = Math.max(GAP_MS_MIN, (last - first) / STRETCHES_MAX);
    let current: Stretch | null = null;
    for (const timeMs of times) {
      if (current && timeMs - current.lastMs <= gapMs) current.lastMs = timeMs;
      else {
        current = { probeId, fromMs: timeMs, lastMs: timeMs };
        stretches.push(current);
      }
    }
  }
  return stretches;
}

import type { Probe } from '../domain/probe.ts';
import { QUANTITY_RULES, type Quantity } from '../domain/quantity.ts';
import type { StoredReading } from '../domain/reading.ts';
import { bucketStartMs } from '../domain/storable-reading.ts';
import type { ReadingStore } from '../ports/reading-store.ts';

/** Readings of a probe that are in memory at a time. */
const PAGE = 2000;
/** Readings that are handed on at a time. */
const PORTION = 1000;

export interface PastReading {
  readonly probe: Probe;
  readonly reading: StoredReading;
}

/**
 * Readings of several probes with fromMs <= measuredAtMs < toMs in one order that does not depend on how they arrived: by
 * time, then quantity, probe and value. Memory does not grow with their number. Rejects if the store does.
 */
export async function* pastReadings(
  store: ReadingStore,
  probes: readonly Probe[],
  fromMs: number,
  toMs: number,
): AsyncGenerator<readonly PastReading[]> {
  const quantities = Object.keys(QUANTITY_RULES) as Quantity[];
  const rank = ({ quantity }: Probe) => quantities.indexOf(quantity);
  const ordered = probes.toSorted((a, b) => rank(a) - rank(b) || (a.probeId < b.probeId ? -1 : 1));
  const lanes: Lane[] = [];
  for (const probe of ordered) {
    const pages = pagesOf(store, probe.probeId, fromMs, toMs);
    const lane = { probe, pages, page: [], next: 0 };
    if (await fill(lane)) lanes.push(lane);
  }
  let portion: PastReading[] = [];
  while (lanes.length > 0) {
    const lane = earliest(lanes);
    const reading = lane.page[lane.next];
    if (reading === undefined) break;
    portion.push({ probe: lane.probe, reading });
    lane.next += 1;
    if (lane.next === lane.page.length && !(await fill(lane))) lanes.splice(lanes.indexOf(lane), 1);
    if (portion.length < PORTION) continue;
    yield portion;
    portion = [];
  }
  if (portion.length > 0) yield portion;
}

const MINUTE_MS = 60_000;
const QUARTER_MS = 900_000;

/**
 * Readings of a span, and where they were retired the means of their minutes, as readings of the middle of those. `kept`
 * are the readings that are there.
 */
export async function withMinutes(
  store: ReadingStore,
  probeId: string,
  fromMs: number,
  toMs: number,
  kept: readonly StoredReading[],
): Promise<readonly StoredReading[]> {
  const quarters = await store.buckets(probeId, fromMs, toMs, QUARTER_MS);
  if (quarters.reduce((sum, { count }) => sum + count, 0) <= kept.length) return kept;
  const heard = new Set(kept.map(({ measuredAtMs }) => bucketStartMs(measuredAtMs, MINUTE_MS)));
  const minutes = await store.buckets(probeId, fromMs, toMs, MINUTE_MS);
  const means = minutes.flatMap(({ startMs, mean }): StoredReading[] => {
    if (heard.has(startMs)) return [];
    const measuredAtMs = startMs + MINUTE_MS / 2;
    return [{ probeId, measuredAtMs, value: mean, receivedAtMs: measuredAtMs, timeFrom: 'device', ordinal: 1 }];
  });
  return [...kept, ...means].toSorted((a, b) => a.measuredAtMs - b.measuredAtMs || a.ordinal - b.ordinal);
}

/** Where reading of a probe stands. */
interface Lane {
  readonly probe: Probe;
  readonly pages: AsyncGenerator<readonly StoredReading[]>;
  page: readonly StoredReading[];
  next: number;
}

/** Reads the next page; false if there is none. */
async function fill(lane: Lane): Promise<boolean> {
  const { value, done } = await lane.pages.next();
  lane.page = done === true ? [] : value;
  lane.next = 0;
  return done !== true;
}

/** The lane whose next reading is the earliest; of several the first. */
function earliest(lanes: readonly Lane[]): Lane {
  const timeOf = ({ page, next }: Lane) => page[next]?.measuredAtMs ?? Number.POSITIVE_INFINITY;
  return lanes.reduce((best, lane) => (timeOf(lane) < timeOf(best) ? lane : best));
}

/** Pages that end between two moments, never within one, so that readings of one moment can be put in order. */
async function* pagesOf(
  store: ReadingStore,
  probeId: string,
  fromMs: number,
  toMs: number,
): AsyncGenerator<readonly StoredReading[]> {
  for (let nextMs = fromMs; ; ) {
    const read = await store.range(probeId, nextMs, toMs, PAGE);
    const lastMs = read.at(-1)?.measuredAtMs;
    if (lastMs === undefined) return;
    if (read.length < PAGE) {
      yield byTimeAndValue(read);
      return;
    }
    const before = read.filter(({ measuredAtMs }) => measuredAtMs < lastMs);
    if (before.length > 0) {
      yield byTimeAndValue(before);
      nextMs = lastMs;
    } else {
      yield byTimeAndValue(await store.range(probeId, lastMs, lastMs + 1, Number.MAX_SAFE_INTEGER));
      nextMs = lastMs + 1;
    }
  }
}

function byTimeAndValue(readings: readonly StoredReading[]): StoredReading[] {
  return readings.toSorted((a, b) => a.measuredAtMs - b.measuredAtMs || a.value - b.value);
}

import { STEP_MS } from '../domain/clean/step.ts';
import { type EstimateListener, KegTrack, type TrackBase } from '../domain/keg-track.ts';
import { trackReading } from '../domain/keg-track-inputs.ts';
import type { EstimateModel } from '../domain/keg-track-types.ts';
import type { Probe } from '../domain/probe.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { EstimateBasis } from './estimate-basis.ts';
import { withMinutes } from './past-readings.ts';

const HOUR_MS = 3600_000;
/** Readings from before the beginning tell what is usual, and where a cooling beer came from (ms). */
const LOOK_BACK_MS = 4 * 24 * HOUR_MS;
/** Readings are read by spans of this length (ms), so that memory stays bounded. */
const SPAN_MS = 12 * HOUR_MS;
const READINGS_MAX = 20_000;
/** Times of devices may lie a little ahead (ms). */
const AHEAD_MS = 10 * 60_000;
/** Steps that are computed between two breaths. */
const STEPS_AT_ONCE = 24;

export interface RebuildOptions {
  readonly basis: EstimateBasis;
  /** Where to go on from; null: from the filling on. */
  readonly base: TrackBase | null;
  readonly untilMs: number;
  readonly store: ReadingStore;
  readonly model: EstimateModel;
  readonly tell: EstimateListener;
  /** Lets others have their turn. */
  readonly breathe: () => Promise<void>;
  /** True if what is being computed is wanted no more. */
  readonly isVain: () => boolean;
}

/** Computes a batch from what the store holds, in small parts; null if it became vain. Rejects if the store does. */
export async function rebuildTrack(options: RebuildOptions): Promise<KegTrack | null> {
  const { basis, base, untilMs, model, tell, breathe, isVain } = options;
  const track = begun(basis, base, model, tell);
  const fromMs = base?.atMs ?? basis.batch.beganAtMs;
  for (let spanMs = fromMs - LOOK_BACK_MS; spanMs < untilMs; spanMs += SPAN_MS) {
    const endMs = Math.min(spanMs + SPAN_MS, untilMs);
    for (const probe of basis.probes) {
      await feed(track, probe, spanMs, endMs === untilMs ? endMs + AHEAD_MS : endMs, options);
      if (isVain()) return null;
    }
    for (let atMs = Math.max(spanMs, fromMs); atMs < endMs; ) {
      atMs = Math.min(atMs + STEPS_AT_ONCE * STEP_MS, endMs);
      track.advanceTo(atMs);
      await breathe();
      if (isVain()) return null;
    }
  }
  return track;
}

function begun(basis: EstimateBasis, base: TrackBase | null, model: EstimateModel, tell: EstimateListener): KegTrack {
  if (base !== null) return KegTrack.fromBase(base, basis.setup, model, basis.events, tell);
  const track = new KegTrack(basis.setup, model, tell);
  for (const event of basis.events) track.enter(event);
  return track;
}

async function feed(
  track: KegTrack,
  probe: Probe,
  fromMs: number,
  toMs: number,
  { store, breathe }: RebuildOptions,
): Promise<void> {
  for (let nextMs = fromMs; nextMs < toMs; ) {
    const kept = await store.range(probe.probeId, nextMs, toMs, READINGS_MAX);
    const readings = kept.length < READINGS_MAX ? await withMinutes(store, probe.probeId, nextMs, toMs, kept) : kept;
    for (const reading of readings) {
      const tracked = trackReading(probe, reading);
      if (tracked !== null && !track.accept(tracked)) track.lookBackOn(tracked);
    }
    const last = kept.at(-1);
    if (last === undefined || kept.length < READINGS_MAX) return;
    nextMs = last.measuredAtMs + 1;
    await breathe();
  }
}

import type { Batch, Keg } from '../domain/catalogue.ts';
import type { KegLearning } from '../domain/estimate/learning.ts';
import type { KegEvent } from '../domain/event.ts';
import type { TrackSetup } from '../domain/keg-track-types.ts';
import type { Probe } from '../domain/probe.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';

const HOUR_MS = 3600_000;
/** Late readings and entries are taken in without ado from this far back (ms); older ones take a longer way. */
const KEEP_MS = 2 * HOUR_MS;
const MARK_STEPS = 12;
/** Every estimate of the program is drawn with this; another would be as good. */
const SEED = 1;

const TRACKED: readonly Quantity[] = ['beer-temperature', 'air-temperature', 'headspace-pressure', 'ambient-pressure'];

/** Raised when the estimate is computed or put aside otherwise than before: then everything is computed anew. */
const LAYOUT = 3;

export interface BasisSources {
  readonly register: Register;
  readonly probes: LiveProbes;
  /** What the last of a keg's batches that ended by a moment taught. */
  readonly bases: {
    learnt(keg: Keg, batches: readonly Batch[], byMs: number): { readonly learning: KegLearning } | null;
  };
}

/** All that the estimate of a batch rests on besides readings. */
export interface EstimateBasis {
  readonly kegId: string;
  readonly batch: Batch;
  readonly setup: TrackSetup;
  /** In order of time. */
  readonly events: readonly KegEvent[];
  readonly probes: readonly Probe[];
  /** The same as a text, entries left out: another text is another estimate. */
  readonly key: string;
}

/** Gathers what the estimate of a batch rests on. */
export function estimateBasis({ register, probes: live, bases }: BasisSources, keg: Keg, batch: Batch): EstimateBasis {
  const { beganAtMs, endedAtMs, batchId } = batch;
  const learnt = bases.learnt(keg, batchesOf(register, keg), beganAtMs)?.learning;
  const setup = { ...setupOf(register, keg), fromMs: beganAtMs, ...(learnt === undefined ? {} : { learnt }) };
  const probes = probesOf(live, keg);
  const events = register.eventsOf(keg).filter(({ atMs }) => endedAtMs === null || atMs <= endedAtMs);
  const key = JSON.stringify([LAYOUT, batchId, endedAtMs, setup, probes.map(meaning)]);
  return { kegId: keg.kegId, batch, setup, events, probes, key };
}

/** What the estimate up to a moment rests on besides readings, as a text. */
export function basisUntil({ key, events }: EstimateBasis, atMs: number): string {
  const before = events.filter((event) => event.atMs < atMs);
  return JSON.stringify([key, before.map(({ eventId, atMs: at, body }) => [eventId, at, body])]);
}

/** Changes whenever something is entered, corrected or withdrawn that bears on a keg, or its probes mean something else. */
export function kegMark({ register, probes: live, bases }: BasisSources, keg: Keg): string {
  const events = register.eventsOf(keg);
  const lastMs = events.reduce((last, { enteredAtMs }) => Math.max(last, enteredAtMs), 0);
  const learnt = batchesOf(register, keg).map(
    ({ beganAtMs }) => bases.learnt(keg, batchesOf(register, keg), beganAtMs)?.learning,
  );
  return JSON.stringify([events.length, lastMs, setupOf(register, keg), probesOf(live, keg).map(meaning), learnt]);
}

export interface ChangedEntry {
  readonly eventId: string;
  /** As it is now; null: withdrawn. */
  readonly event: KegEvent | null;
  /** From when on it makes a difference (ms). */
  readonly fromMs: number;
}

/** What was entered, corrected or withdrawn between two states of the entries. */
export function changedEntries(before: readonly KegEvent[], after: readonly KegEvent[]): ChangedEntry[] {
  const known = new Map(before.map((event) => [event.eventId, event]));
  const changes: ChangedEntry[] = [];
  for (const event of after) {
    const old = known.get(event.eventId);
    known.delete(event.eventId);
    if (old === undefined) changes.push({ eventId: event.eventId, event, fromMs: event.atMs });
    else if (old.enteredAtMs !== event.enteredAtMs || old.atMs !== event.atMs || !sameBody(old, event))
      changes.push({ eventId: event.eventId, event, fromMs: Math.min(old.atMs, event.atMs) });
  }
  for (const { eventId, atMs } of known.values()) changes.push({ eventId, event: null, fromMs: atMs });
  return changes;
}

function sameBody(a: KegEvent, b: KegEvent): boolean {
  return JSON.stringify(a.body) === JSON.stringify(b.body);
}

function batchesOf(register: Register, { kegId }: Keg): readonly Batch[] {
  return register.batches().filter((batch) => batch.kegId === kegId);
}

function setupOf(register: Register, keg: Keg): TrackSetup {
  const supply = register.supply(keg.supplyId);
  return {
    altitudeM: register.site().altitudeM,
    co2Ratio: supply === null ? 1 : supply.co2Ratio,
    seed: SEED,
    keepMs: KEEP_MS,
    markSteps: MARK_STEPS,
  };
}

/** By name, so that the order in which they were first heard decides nothing. */
function probesOf(live: LiveProbes, keg: Keg): readonly Probe[] {
  const heard = [
    ...live.of({ kind: 'keg', id: keg.kegId }),
    ...live.of({ kind: 'place', id: keg.placeId }),
    ...live.of({ kind: 'site' }),
  ];
  return heard
    .map(({ probe }) => probe)
    .filter(({ quantity }) => TRACKED.includes(quantity))
    .toSorted((a, b) => (a.probeId < b.probeId ? -1 : 1));
}

function meaning({ probeId, quantity, reference, calibration }: Probe): unknown {
  return [probeId, quantity, reference, calibration];
}

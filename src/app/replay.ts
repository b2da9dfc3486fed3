import type { ReplayLine } from '../contract/replay.ts';
import type { KegAbout } from '../contract/transfer.ts';
import { batchOf } from '../domain/batches.ts';
import { ArrivalClock } from '../domain/clean/arrival-clock.ts';
import { type ClockWatch, skewMs, UNWATCHED, watchClock } from '../domain/clean/clock-skew.ts';
import { STEP_MS } from '../domain/clean/step.ts';
import { inOrder, type KegEvent } from '../domain/event.ts';
import { runningCheck } from '../domain/gas-check/checks.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import type { KegInput } from '../domain/keg-inputs.ts';
import { KegTrack } from '../domain/keg-track.ts';
import { type Newest, type TrackReading, trackReading } from '../domain/keg-track-inputs.ts';
import type { EstimateModel, TrackOutput } from '../domain/keg-track-types.ts';
import { defaultProbe, type Probe, type ProbeDirectory, probeDirectory } from '../domain/probe.ts';
import { freshLimits, freshnessAt } from '../domain/probe-health.ts';
import { QUANTITY_RULES, type Quantity } from '../domain/quantity.ts';
import { readSample } from '../domain/sample.ts';
import type { Subject } from '../domain/topic.ts';
import type { VerdictBasis } from '../domain/verdict/basis.ts';
import type { CheckName } from '../domain/verdict/check.ts';
import { judge, type Verdict } from '../domain/verdict/judge.ts';
import { DEFAULT_LIMITS } from '../domain/verdict/limits.ts';
import { dissolvedOutlook } from '../domain/verdict/outlook.ts';
import { dimensionOf } from '../physics/units.ts';
import { describedProbe } from './described-probe.ts';
import { estimateModel } from './estimate-model.ts';

/** Each line is judged by itself. */
const NOTHING_PASSED: ReadonlySet<CheckName> = new Set();
const DAY_MS = 24 * 3600_000;
/** Readings and entries are taken from this far back (ms); a batch is empty long before. */
const KEEP_MS = 90 * DAY_MS;
/** A longer silence is a mistake in the times of a folder (ms). */
const SILENCE_MS_MAX = 120 * DAY_MS;

export interface ReplayOptions {
  readonly kegId: string;
  readonly events: readonly KegEvent[];
  /** How often something is said (ms), a whole multiple of the estimate's step. */
  readonly everyMs: number;
  readonly seed: number;
  /** The estimate to run; the real one if left out. */
  readonly model?: EstimateModel;
  /** What the folder says of its keg: how its probes are read, and how high it stands. */
  readonly about?: KegAbout | null;
}

/** A value as a folder's readings give it. */
export interface ReplayValue {
  readonly quantity: Quantity;
  readonly atMs: number;
  readonly value: number;
  /** UCUM code, or null for the quantity's own. */
  readonly unit: string | null;
  /** The probe, if it is not the usual one of its quantity. */
  readonly probeId?: string | undefined;
}

export type Taken =
  | { readonly ok: true; readonly lines: readonly ReplayLine[] }
  /** The value cannot be one. `unit`: its unit is wrong, and so are likely all like it; else it was one odd value. */
  | { readonly ok: false; readonly fault: 'unit' | 'value'; readonly reason: string };

/** The times of a folder cannot be meant. */
export class ReplayTimeError extends Error {
  override readonly name = 'ReplayTimeError';
}

/** The wanted carbonation (volumes) from a moment on. */
export interface ReplayWindow {
  readonly fromMs: number;
  readonly low: number;
  readonly high: number;
}

interface Arrived {
  readonly source: string;
  readonly atMs: number;
  /** Null if only its time counts: the estimate does not rest on its quantity. */
  readonly reading: TrackReading | null;
}

/** Feeds values in order of arrival through the pipeline and says, at whole steps of `everyMs`, what was known then. */
export class Replay {
  readonly #options: ReplayOptions;
  #events: readonly KegEvent[];
  readonly #track: KegTrack;
  readonly #clock = new ArrivalClock<Arrived>();
  readonly #clocks = new Map<string, ClockWatch>();
  readonly #windows: ReplayWindow[] = [];
  readonly #directory: ProbeDirectory;
  #entered = 0;
  #nowMs: number | null = null;
  #nextLineMs: number | null = null;

  constructor(options: ReplayOptions) {
    this.#options = options;
    this.#events = inOrder(options.events);
    const { about = null } = options;
    this.#directory = probeDirectory((about?.probes ?? []).flatMap((setting) => describedProbe(setting) ?? []));
    const setup = { altitudeM: about?.altitudeM ?? 0, co2Ratio: 1, seed: options.seed, keepMs: KEEP_MS };
    this.#track = new KegTrack(setup, options.model ?? estimateModel);
    const filled = this.#events.find(({ body }) => body.kind === 'keg-filled');
    if (filled !== undefined) this.#nextLineMs = Math.ceil(filled.atMs / options.everyMs) * options.everyMs;
  }

  /** Takes the next value; gives the lines that its time brings. Throws `ReplayTimeError` after an impossible silence. */
  take(value: ReplayValue): Taken {
    const probe = this.#probeOf(value);
    const sample = { value: value.value, unit: value.unit, time: { kind: 'instant', atMs: value.atMs } } as const;
    const outcome = readSample(probe, sample, value.atMs, 'import');
    if (!outcome.ok) {
      const unitFits = value.unit === null || dimensionOf(value.unit) === QUANTITY_RULES[value.quantity].dimension;
      return { ok: false, fault: unitFits ? 'value' : 'unit', reason: outcome.reason };
    }
    const { measuredAtMs } = outcome.reading;
    const arrived = { source: probe.probeId, atMs: measuredAtMs, reading: trackReading(probe, outcome.reading) };
    const lines: ReplayLine[] = [];
    for (const { atMs, source, reading } of this.#clock.take(arrived)) {
      this.#advance(atMs, lines);
      const clock = this.#clocks.get(source) ?? UNWATCHED;
      this.#clocks.set(source, watchClock(clock, atMs, this.#nowMs ?? atMs));
      if (reading !== null) this.#track.accept(reading);
    }
    return { ok: true, lines };
  }

  /** Something done now, which no folder told: for whoever acts on what is said. Nothing that lies before now. */
  enter(event: KegEvent): void {
    if (this.#nowMs !== null && event.atMs < this.#nowMs) {
      throw new ReplayTimeError(
        'an entry lies before what was replayed already; enter it with the others at the start',
      );
    }
    this.#events = inOrder([...this.#events, event]);
  }

  /** Limits of its verdicts. */
  readonly limits = DEFAULT_LIMITS;

  /** The entries up to now. */
  get entered(): readonly KegEvent[] {
    return this.#events.slice(0, this.#entered);
  }

  /** All that is said at a moment that was reached, with its verdict; null before the filling. */
  stand(atMs: number): { readonly output: TrackOutput; readonly verdict: Verdict } | null {
    this.#enterUntil(atMs);
    const output = this.#track.output(atMs);
    return output === null ? null : { output, verdict: judge(basisOf(output, this.#options.kegId, this.entered)) };
  }

  #probeOf({ quantity, probeId }: ReplayValue): Probe {
    const usual = defaultProbe(subjectOf(quantity, this.#options.kegId), quantity);
    const known = this.#directory.byId(probeId ?? usual.probeId);
    return known !== null && known.quantity === quantity ? known : { ...usual, probeId: probeId ?? usual.probeId };
  }

  /** The track, for what lines do not say. */
  get track(): KegTrack {
    return this.#track;
  }

  /** Where the wanted carbonation lay, each until the next. */
  get windows(): readonly ReplayWindow[] {
    return this.#windows;
  }

  /** Values that leapt ahead of all others and were never confirmed. */
  get unbelieved(): number {
    return this.#clock.waiting;
  }

  /** Probes whose clocks are off, and by how much they are slow (ms; negative: fast). */
  get skews(): readonly { readonly probeId: string; readonly slowMs: number }[] {
    return [...this.#clocks].flatMap(([probeId, clock]) => {
      const slowMs = skewMs(clock);
      return slowMs === null ? [] : [{ probeId, slowMs }];
    });
  }

  /** Brings "now" to a time, with the entries up to it and the lines due by it. */
  #advance(atMs: number, lines: ReplayLine[]): void {
    if (this.#nowMs !== null && atMs <= this.#nowMs) return;
    const sinceMs = Math.max(this.#nowMs ?? Number.NEGATIVE_INFINITY, this.#nextLineMs ?? Number.NEGATIVE_INFINITY);
    if (Number.isFinite(sinceMs) && atMs - sinceMs > SILENCE_MS_MAX) {
      const days = Math.round((atMs - sinceMs) / DAY_MS);
      throw new ReplayTimeError(`this reading comes ${days} days after all before it; check the times of the folder`);
    }
    while (this.#nextLineMs !== null && this.#nextLineMs <= atMs) {
      this.#enterUntil(this.#nextLineMs);
      const output = this.#track.output(this.#nextLineMs);
      if (output !== null) {
        this.#noteWindow(output);
        lines.push(replayLine(output, this.#options.kegId, this.#events.slice(0, this.#entered)));
      }
      this.#nextLineMs += this.#options.everyMs;
    }
    this.#nowMs = atMs;
    this.#enterUntil(atMs);
  }

  #noteWindow({ atMs, target: { low, high } }: TrackOutput): void {
    const last = this.#windows.at(-1);
    if (last?.low !== low || last.high !== high) this.#windows.push({ fromMs: atMs, low, high });
  }

  #enterUntil(atMs: number): void {
    for (;;) {
      const event = this.#events[this.#entered];
      if (event === undefined || event.atMs > atMs) return;
      this.#track.enter(event);
      this.#entered += 1;
    }
  }
}

/** Is this how often a replay can speak? */
export function isReplayInterval(everyMs: number): boolean {
  return everyMs >= STEP_MS && everyMs % STEP_MS === 0 && DAY_MS % everyMs === 0;
}

function subjectOf(quantity: Quantity, kegId: string): Subject {
  switch (QUANTITY_RULES[quantity].subject) {
    case 'keg':
      return { kind: 'keg', id: kegId };
    case 'place':
      return { kind: 'place', id: 'fridge' };
    case 'supply':
      return { kind: 'supply', id: 'gas' };
    case 'site':
      return { kind: 'site' };
  }
}

function replayLine(output: TrackOutput, kegId: string, events: readonly KegEvent[]): ReplayLine {
  const { dissolved, beerTemperature, readyIn, coldIn } = output;
  return {
    t: new Date(output.atMs).toISOString(),
    equilibriumVolumes: rounded(output.equilibriumVolumes, 4),
    // The gas of a replay is pure CO2, so there is always an estimate.
    dissolvedVolumes: rounded(dissolved?.volumes ?? Number.NaN, 4),
    low: rounded(dissolved?.low ?? Number.NaN, 4),
    high: rounded(dissolved?.high ?? Number.NaN, 4),
    beerC: rounded(beerTemperature?.value ?? null, 3),
    gas: dissolved?.gas ?? 'unknown',
    readyInHours: rounded(readyIn?.hours ?? null, 2),
    coldInHours: rounded(coldIn?.hours ?? null, 2),
    leak: dissolved?.leak ?? 'none',
    verdict: judge(basisOf(output, kegId, events)).kind,
  };
}

function rounded<N extends number | null>(value: N, digits: number): N extends number ? number : number | null;
function rounded(value: number | null, digits: number): number | null {
  return value === null ? null : Number(value.toFixed(digits));
}

function basisOf(output: TrackOutput, kegId: string, events: readonly KegEvent[]): VerdictBasis {
  const { atMs, ambientFromBarometer, ambientKpaAbsolute } = output;
  const facts = kegFactsAt(events, atMs);
  const span = { batchId: output.batchId, beganAtMs: output.filledAtMs, endedAtMs: null };
  return {
    kegId,
    batch: batchOf(kegId, span, undefined),
    facts,
    beerTemperature: inputOf('beer-temperature', output.beerTemperature, atMs),
    headspacePressure: inputOf('headspace-pressure', output.headspacePressure, atMs),
    ambient: { kpaAbsolute: ambientKpaAbsolute, from: ambientFromBarometer ? 'barometer' : 'batch-altitude' },
    co2Ratio: 1,
    equilibriumVolumes: output.equilibriumVolumes,
    dissolved: dissolvedOutlook(output),
    units: { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes' },
    inputs: [],
    coldIn: output.coldIn,
    steadiness: output.steadiness,
    // Nobody noted why what is replayed has holes.
    holes: [],
    gasCheckRuns: runningCheck(events, atMs) !== null,
    limits: DEFAULT_LIMITS,
    passed: NOTHING_PASSED,
    nowMs: atMs,
  };
}

function inputOf(quantity: Quantity, newest: Newest | null, nowMs: number): KegInput | null {
  if (newest === null) return null;
  const limits = freshLimits(newest.rhythm);
  const ageMs = Math.max(0, nowMs - newest.rhythm.lastMeasuredAtMs);
  return {
    quantity,
    probeId: newest.probeId,
    value: newest.value,
    unit: QUANTITY_RULES[quantity].unit,
    measuredAtMs: newest.rhythm.lastMeasuredAtMs,
    ageMs,
    freshness: freshnessAt(limits, ageMs),
    limits,
    amiss: null,
  };
}

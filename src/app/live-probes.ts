import { type Believed, weigh } from '../domain/clean/doubt.ts';
import type { Amiss, LiveValue } from '../domain/keg-inputs.ts';
import type { ProbeDirectory } from '../domain/probe.ts';
import { heard, type ProbeRhythm } from '../domain/probe-health.ts';
import type { StoredReading } from '../domain/reading.ts';
import { type Subject, subjectPath } from '../domain/topic.ts';
import type { ProbeReading } from './decode.ts';
import type { Register } from './register.ts';

/** The farthest that a believed time may lie after its receipt (ms). */
const AHEAD_MS_MAX = 2 * 60_000;

interface Heard extends LiveValue {
  readonly firstHeardAtMs: number;
  /** When its newest reading was received (ms). */
  readonly receivedAtMs: number;
  /** False if its newest reading was imported or restored. */
  readonly live: boolean;
  readonly believed: Believed;
}

/** What a reading is to what is known: a newer value, nothing new, or a jump that is not believed yet. */
export type Told = 'news' | 'known' | 'doubted';

/** The newest reading and the rhythm of every probe that was ever heard. */
export class LiveProbes {
  readonly #byId = new Map<string, Heard>();
  readonly #bySubject = new Map<string, Set<string>>();
  readonly #offline = new Map<string, Amiss>();
  readonly #stuck = new Map<string, Amiss>();

  /** Whatever the register says anew of probes is known before those hear of it that are built later. */
  static following(register: Register): LiveProbes {
    const probes = new LiveProbes();
    register.onChange((change) => {
      if (change === 'probes') probes.remap(register.directory());
    });
    return probes;
  }

  /** Follows a reading. One that is doubted is kept, but changes nothing here. */
  accept({ probe, reading, live }: ProbeReading): Told {
    const heardBefore = this.#byId.get(probe.probeId);
    // Times from before the clock of this machine was set back lie ahead for ever: what is known begins anew.
    const isAhead =
      heardBefore !== undefined && heardBefore.rhythm.lastMeasuredAtMs > reading.receivedAtMs + AHEAD_MS_MAX;
    const known = isAhead ? undefined : heardBefore;
    const rhythm = heard(known?.rhythm ?? null, reading.measuredAtMs);
    if (known !== undefined && rhythm === known.rhythm) {
      // Two values of one moment are two readings; the one that came later counts, as it will after a restart.
      const isSecond = reading.measuredAtMs === rhythm.lastMeasuredAtMs && reading.value !== known.value;
      if (!isSecond) return 'known';
    }
    const point = { atMs: reading.measuredAtMs, value: reading.value };
    const believed = weigh(probe.quantity, known?.believed ?? null, point);
    if (known !== undefined && believed.last !== point) {
      this.#keep({ ...known, believed });
      return 'doubted';
    }
    this.#keep({
      probe,
      value: reading.value,
      rhythm,
      receivedAtMs: reading.receivedAtMs,
      live,
      believed,
      firstHeardAtMs: known?.firstHeardAtMs ?? reading.receivedAtMs,
    });
    return 'news';
  }

  /** Takes over the newest stored readings of a probe (oldest first), as at a start. */
  restore(probeId: string, firstMs: number, readings: readonly StoredReading[], directory: ProbeDirectory): void {
    const probe = directory.byId(probeId);
    let [believed, rhythm, last]: [Believed | null, ProbeRhythm | null, StoredReading | null] = [null, null, null];
    for (const reading of readings) {
      const point = { atMs: reading.measuredAtMs, value: reading.value };
      if (probe !== null) believed = weigh(probe.quantity, believed, point);
      if (believed?.last !== point) continue;
      rhythm = heard(rhythm, reading.measuredAtMs);
      last = reading;
    }
    if (probe === null || last === null || rhythm === null || believed === null) return;
    this.#keep({
      probe,
      value: last.value,
      rhythm,
      believed,
      receivedAtMs: last.receivedAtMs,
      live: false,
      firstHeardAtMs: firstMs,
    });
  }

  /** Its device says that it is offline; null: it does not. */
  setOffline(probeId: string, offline: { readonly sinceMs: number | null } | null): void {
    if (offline === null) this.#offline.delete(probeId);
    else this.#offline.set(probeId, { kind: 'offline', ...offline });
    this.#rekeep(probeId);
  }

  allOnline(): void {
    for (const probeId of [...this.#offline.keys()]) this.setOffline(probeId, null);
  }

  /** It repeats one value since then; null: it does not. */
  setStuck(probeId: string, sinceMs: number | null): void {
    if (this.#stuck.has(probeId) === (sinceMs !== null)) return;
    if (sinceMs === null) this.#stuck.delete(probeId);
    else this.#stuck.set(probeId, { kind: 'stuck', sinceMs });
    this.#rekeep(probeId);
  }

  #rekeep(probeId: string): void {
    const known = this.#byId.get(probeId);
    if (known !== undefined) this.#keep(known);
  }

  #keep(value: Heard): void {
    const { probe } = value;
    const amiss = this.#offline.get(probe.probeId) ?? this.#stuck.get(probe.probeId) ?? null;
    this.#byId.set(probe.probeId, { ...value, amiss });
    const key = subjectPath(probe.subject);
    const ids = this.#bySubject.get(key) ?? new Set();
    ids.add(probe.probeId);
    this.#bySubject.set(key, ids);
  }

  /** After a mapping or a calibration changed: values keep, their meaning is looked up anew. */
  remap(directory: ProbeDirectory): void {
    const values = [...this.#byId.values()];
    this.#byId.clear();
    this.#bySubject.clear();
    for (const value of values) {
      const probe = directory.byId(value.probe.probeId);
      if (probe !== null) this.#keep({ ...value, probe });
    }
  }

  forget(probeId: string): void {
    this.#byId.delete(probeId);
    this.#stuck.delete(probeId);
    for (const ids of this.#bySubject.values()) ids.delete(probeId);
  }

  get(probeId: string): Heard | null {
    return this.#byId.get(probeId) ?? null;
  }

  all(): Heard[] {
    return [...this.#byId.values()];
  }

  of(subject: Subject): Heard[] {
    const ids = this.#bySubject.get(subjectPath(subject)) ?? [];
    return [...ids].flatMap((id) => this.#byId.get(id) ?? []);
  }

  /** Ids of all kegs that were heard of, in the catalogue or not. */
  kegIds(): string[] {
    const ids = this.all().flatMap(({ probe }) => (probe.subject.kind === 'keg' ? [probe.subject.id] : []));
    return [...new Set(ids)];
  }
}

import { probeHeardWords, probeSilentWords, probesSilentWords, silenceFinding } from '../alerts/words.ts';
import { freshnessAt, silenceLimits, usualIntervalMs } from '../domain/probe-health.ts';
import { subjectPath } from '../domain/topic.ts';
import { suggestedKegIds } from './suggestions.ts';
import { subjectWords, type WatchBasis } from './watch-base.ts';

type Heard = ReturnType<WatchBasis['probes']['all']>[number];

interface Silence {
  readonly heard: Heard;
  /** Since when nothing was heard of it, as far as we could hear (ms). */
  readonly sinceMs: number;
  readonly finding: ReturnType<typeof silenceFinding>;
}

/** Last readings lie apart by their intervals, and by this, though one cause silenced their probes (ms). */
const TOGETHER_MS = 2 * 60_000;
const TOGETHER_MS_MAX = 30 * 60_000;
const EXPLAINED = [
  { rule: 'service-trouble', target: 'broker' },
  { rule: 'readings-not-kept', target: 'spool' },
] as const;

/** Sees which probes have fallen silent. Those that did so together are one message. */
export class SilenceWatch {
  readonly #basis: WatchBasis;
  /** While we could not hear, nobody was silent: since a start, a sleep of the machine or a leap of its clock (ms). */
  #listeningSinceMs: number;

  constructor(basis: WatchBasis) {
    this.#basis = basis;
    this.#listeningSinceMs = basis.clock.nowMs();
  }

  listenAnew(): void {
    this.#listeningSinceMs = this.#basis.clock.nowMs();
  }

  tick(atMs: number): void {
    const { probes, desk, clock } = this.#basis;
    const nowMs = clock.nowMs();
    const silences: Silence[] = [];
    const suggested = new Set(suggestedKegIds(this.#basis.register, probes, nowMs));
    for (const heard of probes.all()) {
      const { subject, probeId } = heard.probe;
      const isWatched =
        subject.kind !== 'keg' || this.#basis.register.keg(subject.id) !== null || suggested.has(subject.id);
      if (isWatched) silences.push(this.#silence(heard, nowMs));
      else desk.endFor(probeId, atMs);
    }
    const quiet = silences.filter(({ finding }) => finding !== 'over');
    const widest = Math.max(0, ...quiet.map(({ heard }) => usualIntervalMs(heard.rhythm) ?? 0));
    const withinMs = Math.min(TOGETHER_MS_MAX, TOGETHER_MS + widest);
    for (const silence of silences) this.#sample(silence, quiet, withinMs, atMs, nowMs);
  }

  #silence(heard: Heard, nowMs: number): Silence {
    const { rhythm, receivedAtMs, live } = heard;
    // A past reading is no sign of life: silence counts from the start, or from the import.
    const lastMs = live ? rhythm.lastMeasuredAtMs : Math.max(receivedAtMs, rhythm.lastMeasuredAtMs);
    const isOld = !live || lastMs < this.#listeningSinceMs;
    const sinceMs = isOld ? Math.max(this.#listeningSinceMs, lastMs) : lastMs;
    const finding = silenceFinding(freshnessAt(silenceLimits(rhythm), Math.max(0, nowMs - sinceMs)));
    // An episode that was open at the start stays open until the probe is heard again.
    return { heard, sinceMs, finding: isOld && finding === 'over' ? 'between' : finding };
  }

  #sample(
    { heard, sinceMs, finding }: Silence,
    quiet: readonly Silence[],
    withinMs: number,
    atMs: number,
    nowMs: number,
  ) {
    const { probe, rhythm } = heard;
    const { probeId, quantity, subject } = probe;
    const silentMs = Math.max(0, nowMs - sinceMs);
    const together = quiet.filter((other) => Math.abs(other.sinceMs - sinceMs) <= withinMs);
    const subjects = new Set(together.map((other) => subjectPath(other.heard.probe.subject)));
    const where = subjectWords(this.#basis, subject);
    this.#basis.desk.sample({
      rule: 'probe-silent',
      target: probeId,
      kegId: subject.kind === 'keg' && subjects.size <= 1 ? subject.id : null,
      finding,
      atMs,
      words:
        together.length > 1
          ? probesSilentWords(together.length, where, silentMs, subjects.size === 1)
          : probeSilentWords(quantity, where, silentMs, usualIntervalMs(rhythm)),
      endWords: probeHeardWords(quantity, where, silentMs),
      scope: { key: 'site', onsetMs: sinceMs, withinMs },
      under: [...EXPLAINED, { rule: 'probe-implausible', target: probeId }],
    });
  }
}

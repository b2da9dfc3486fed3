import { findLow } from '../alerts/rule.ts';
import {
  coldEnoughLimits,
  coldEnoughWords,
  noLongerColdWords,
  probeHeardWords,
  probeSilentWords,
  silenceFinding,
} from '../alerts/words.ts';
import type * as contract from '../contract/index.ts';
import { type Keg, newKeg } from '../domain/catalogue.ts';
import { runningCheck } from '../domain/gas-check/checks.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import { collectInputs } from '../domain/keg-inputs.ts';
import { kegState } from '../domain/keg-state.ts';
import { calibrated } from '../domain/probe.ts';
import { freshLimits, freshnessAt, silenceLimits, usualIntervalMs } from '../domain/probe-health.ts';
import type { Subject } from '../domain/topic.ts';
import type { Clock } from '../ports/clock.ts';
import type { VerdictJournal } from '../ports/journal.ts';
import type { AlertDesk } from './alert-desk.ts';
import type { ProbeReading } from './decode.ts';
import type { Feed } from './feed.ts';
import type { KegEstimates } from './keg-estimates.ts';
import type { LiveProbes } from './live-probes.ts';
import { presentState } from './present.ts';
import type { Register } from './register.ts';
import { Verdicts } from './verdicts.ts';

/** Changes within this time go out together (ms): long enough to gather a burst, too short to be felt. */
const GATHER_MS = 50;
/** A keg that is only heard of is no longer suggested after this silence (ms). */
const SUGGESTED_FOR_MS = 24 * 3600_000;

export interface MonitorOptions {
  readonly clock: Clock;
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly feed: Feed;
  readonly desk: AlertDesk;
  readonly verdicts: VerdictJournal;
  readonly estimates: Pick<KegEstimates, 'output' | 'notices' | 'isPending'>;
}

/** Computes the state of every keg from what is heard and entered: soon after each change, and once a second. */
export class Monitor {
  readonly #options: MonitorOptions;
  readonly #dirty = new Set<string>();
  #startedAtMs: number;
  readonly #verdicts: Verdicts;
  #gathering = false;

  constructor(options: MonitorOptions) {
    this.#options = options;
    this.#startedAtMs = options.clock.nowMs();
    this.#verdicts = new Verdicts(options.verdicts);
    options.register.onChange(() => this.evaluateAll());
  }

  /** Follows new readings, in the order in which they came. */
  accept(readings: readonly ProbeReading[]): void {
    for (const probeReading of readings) {
      if (!this.#options.probes.accept(probeReading)) continue;
      for (const kegId of this.#kegsBehind(probeReading.probe.subject)) this.#dirty.add(kegId);
      this.#watchCold(probeReading);
    }
    this.#gather();
  }

  /** The estimate has something new to say of a keg. */
  reconsider(kegId: string): void {
    this.#dirty.add(kegId);
    this.#gather();
  }

  #gather(): void {
    if (this.#dirty.size === 0 || this.#gathering) return;
    this.#gathering = true;
    this.#options.clock.after(GATHER_MS, () => {
      this.#gathering = false;
      const kegIds = [...this.#dirty];
      this.#dirty.clear();
      this.#evaluate(kegIds);
    });
  }

  /** Everything anew: ages have moved, and so may have verdicts. */
  evaluateAll(): void {
    this.#dirty.clear();
    const kegIds = [...this.#options.register.kegs().map((keg) => keg.kegId), ...this.suggestedKegIds()];
    this.#evaluate(kegIds);
    const shown = new Set(kegIds);
    for (const { kegId } of this.#options.feed.states()) {
      if (shown.has(kegId)) continue;
      this.#options.feed.kegGone(kegId);
      this.#options.desk.endFor(kegId, this.#options.clock.nowMs());
    }
  }

  /** After the machine's clock was set: what was silent before it cannot be told by the new time. */
  startAnew(): void {
    this.#startedAtMs = this.#options.clock.nowMs();
  }

  /** Once a second: all states, and which probes have fallen silent. */
  tick(): void {
    this.evaluateAll();
    this.#watchSilence();
  }

  /** Kegs heard of lately that are not in the catalogue. */
  suggestedKegIds(): string[] {
    const { register, probes, clock } = this.#options;
    const heardSinceMs = clock.nowMs() - SUGGESTED_FOR_MS;
    return probes.kegIds().filter((kegId) => {
      if (register.keg(kegId) !== null || register.isDismissed(kegId)) return false;
      return probes.of({ kind: 'keg', id: kegId }).some((heard) => heard.rhythm.lastMeasuredAtMs >= heardSinceMs);
    });
  }

  /** The state of a keg with its ages as of now, or null if the keg is neither kept nor suggested. */
  stateNow(kegId: string): contract.KegState | null {
    const { clock, register, feed } = this.#options;
    if (feed.state(kegId) === null) return null;
    const nowMs = clock.nowMs();
    const keg = register.keg(kegId);
    const state = this.#stateOf(keg ?? newKeg(kegId), keg !== null, nowMs);
    // Whoever asks must not be ahead of the pages.
    feed.keg(state);
    return state;
  }

  #kegsBehind(subject: Subject): string[] {
    if (subject.kind === 'keg') return [subject.id];
    const kegs = this.#options.register.kegs().filter((keg) => {
      if (subject.kind === 'place') return keg.placeId === subject.id;
      return subject.kind === 'site' || keg.supplyId === subject.id;
    });
    return kegs.map((keg) => keg.kegId);
  }

  #evaluate(kegIds: readonly string[]): void {
    const { clock, feed } = this.#options;
    const nowMs = clock.nowMs();
    for (const kegId of kegIds) {
      const keg = this.#options.register.keg(kegId);
      if (keg === null && this.#options.register.isDismissed(kegId)) continue;
      feed.keg(this.#stateOf(keg ?? newKeg(kegId), keg !== null, nowMs));
      this.#markColdUnverified(kegId, nowMs);
    }
  }

  #stateOf(keg: Keg, adopted: boolean, nowMs: number): contract.KegState {
    const { register, probes, estimates } = this.#options;
    const site = register.site();
    const events = register.eventsOf(keg);
    const facts = kegFactsAt(events, nowMs);
    const values = [
      ...probes.of({ kind: 'keg', id: keg.kegId }),
      ...probes.of({ kind: 'place', id: keg.placeId }),
      ...probes.of({ kind: 'supply', id: keg.supplyId }),
      ...probes.of({ kind: 'site' }),
    ];
    // A keg's supply is kept as long as the keg refers to it; a suggested keg may stand on one that is gone.
    const supply = register.supply(keg.supplyId) ?? { supplyId: keg.supplyId, name: '', co2Ratio: 1, cylinderKg: null };
    const inputs = collectInputs(values, facts.altitudeMetres, site, nowMs);
    const batch = adopted ? register.batchAt(keg.kegId, nowMs) : null;
    const outlook = batch === null ? null : estimates.output(keg.kegId);
    const notices = batch === null ? [] : estimates.notices(keg.kegId);
    const gasCheck = runningCheck(events, nowMs);
    const passed = this.#verdicts.passed(keg.kegId);
    const state = kegState(
      { keg, adopted, site, supply, batch, facts, inputs, outlook, gasCheck, notices, passed },
      nowMs,
    );
    const pending = adopted && estimates.isPending(keg.kegId);
    const { verdict, sinceMs } = this.#verdicts.settle(keg.kegId, state.verdict, pending, nowMs);
    return presentState({ ...state, verdict }, sinceMs);
  }

  #watchCold({ probe, reading }: ProbeReading): void {
    if (probe.quantity !== 'beer-temperature' || probe.subject.kind !== 'keg') return;
    const { register, desk } = this.#options;
    const kegId = probe.subject.id;
    const keg = register.keg(kegId);
    if (keg === null && register.isDismissed(kegId)) return;
    const atMs = reading.measuredAtMs;
    const beerC = calibrated(probe, reading.value, atMs);
    const fillC = register.factsOf(keg ?? newKeg(kegId), atMs).target.celsius;
    const { beginAtC, endAboveC } = coldEnoughLimits(fillC);
    const name = register.batchAt(kegId, atMs)?.name ?? keg?.name ?? kegId;
    const { units } = register.site();
    desk.sample({
      rule: 'cold-enough',
      target: kegId,
      kegId,
      finding: findLow(beerC, beginAtC, endAboveC),
      atMs,
      words: coldEnoughWords(name, beerC, fillC, units),
      endWords: noLongerColdWords(name, beerC, fillC, units),
    });
  }

  #markColdUnverified(kegId: string, nowMs: number): void {
    const heard = this.#options.probes.of({ kind: 'keg', id: kegId });
    const thermometers = heard.filter(({ probe }) => probe.quantity === 'beer-temperature');
    const fresh = thermometers.some(({ rhythm }) => {
      return freshnessAt(freshLimits(rhythm), nowMs - rhythm.lastMeasuredAtMs) !== 'stale';
    });
    this.#options.desk.markUnverified('cold-enough', kegId, !fresh);
  }

  #watchSilence(): void {
    const { clock, probes, desk } = this.#options;
    const nowMs = clock.nowMs();
    for (const { probe, rhythm, receivedAtMs, live } of probes.all()) {
      const { subject, probeId } = probe;
      if (subject.kind === 'keg' && !this.#isWatchedKeg(subject.id)) {
        desk.endFor(probeId, nowMs);
        continue;
      }
      // While the service was away nothing could be heard, and a past reading is no sign of life: silence counts from
      // the start, or from the import.
      const lastSignMs = live ? rhythm.lastMeasuredAtMs : Math.max(receivedAtMs, rhythm.lastMeasuredAtMs);
      const countsFromMs = Math.max(this.#startedAtMs, lastSignMs);
      const silentMs = Math.max(0, nowMs - countsFromMs);
      const finding = silenceFinding(freshnessAt(silenceLimits(rhythm), silentMs));
      const where = this.#whereOf(subject);
      desk.sample({
        rule: 'probe-silent',
        target: probeId,
        kegId: subject.kind === 'keg' ? subject.id : null,
        // An episode that was open at the start stays open until the probe is heard again.
        finding: !live && finding === 'over' ? 'between' : finding,
        atMs: nowMs,
        words: probeSilentWords(probe.quantity, where, silentMs, usualIntervalMs(rhythm)),
        endWords: probeHeardWords(probe.quantity, where, silentMs),
      });
    }
  }

  #isWatchedKeg(kegId: string): boolean {
    return this.#options.register.keg(kegId) !== null || this.suggestedKegIds().includes(kegId);
  }

  #whereOf(subject: Subject): string {
    const { register, clock } = this.#options;
    switch (subject.kind) {
      case 'keg':
        return register.batchAt(subject.id, clock.nowMs())?.name ?? register.keg(subject.id)?.name ?? subject.id;
      case 'place':
        return register.place(subject.id)?.name ?? subject.id;
      case 'supply':
        return register.supply(subject.id)?.name ?? subject.id;
      case 'site':
        return 'the site';
    }
  }
}

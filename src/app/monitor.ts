import type * as contract from '../contract/index.ts';
import { type Keg, newKeg } from '../domain/catalogue.ts';
import { runningCheck } from '../domain/gas-check/checks.ts';
import { kegFactsAt } from '../domain/keg-facts.ts';
import { collectInputs } from '../domain/keg-inputs.ts';
import { kegState } from '../domain/keg-state.ts';
import type { Subject } from '../domain/topic.ts';
import { STEADY_MS } from '../domain/verdict/steady.ts';
import type { Clock } from '../ports/clock.ts';
import type { GapJournal, VerdictJournal } from '../ports/journal.ts';
import type { AlertWatch } from './alert-watch.ts';
import type { ProbeReading } from './decode.ts';
import type { Feed } from './feed.ts';
import type { FillPlans } from './fill-plans.ts';
import type { KegEstimates } from './keg-estimates.ts';
import type { LiveProbes } from './live-probes.ts';
import { presentState } from './present.ts';
import type { Register } from './register.ts';
import { suggestedKegIds } from './suggestions.ts';
import { Verdicts } from './verdicts.ts';

/** Changes within this time go out together (ms): long enough to gather a burst, too short to be felt. */
const GATHER_MS = 50;

export interface MonitorOptions {
  readonly clock: Clock;
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly feed: Feed;
  readonly watch: Pick<AlertWatch, 'accept' | 'doubted' | 'look' | 'kegGone' | 'startAnew' | 'tick'>;
  readonly journal: VerdictJournal & Pick<GapJournal, 'gapMarks'>;
  readonly estimates: Pick<KegEstimates, 'output' | 'notices' | 'isPending'>;
  readonly fillPlans: Pick<FillPlans, 'planned'>;
  /** Hears of a state that could not be computed. */
  readonly onMistake?: (error: Error, kegId: string) => void;
}

/** Computes the state of every keg from what is heard and entered: soon after each change, and once a second. */
export class Monitor {
  readonly #options: MonitorOptions;
  readonly #dirty = new Set<string>();
  readonly #verdicts: Verdicts;
  #gathering = false;
  /** Kegs whose state could not be computed the last time, and why. */
  readonly #tripped = new Map<string, string>();

  constructor(options: MonitorOptions) {
    this.#options = options;
    this.#verdicts = new Verdicts(options.journal);
    options.register.onChange(() => this.evaluateAll());
  }

  /** Follows new readings, in the order in which they came. */
  accept(readings: readonly ProbeReading[]): void {
    for (const probeReading of readings) {
      const told = this.#options.probes.accept(probeReading);
      if (told === 'doubted') {
        this.#options.watch.doubted(probeReading.probe.probeId);
        continue;
      }
      this.#options.watch.accept(probeReading);
      if (told === 'known') continue;
      for (const kegId of this.#kegsBehind(probeReading.probe.subject)) this.#dirty.add(kegId);
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
      this.#options.watch.kegGone(kegId);
    }
  }

  /** After the machine's clock was set: what was silent before it cannot be told by the new time. */
  startAnew(): void {
    this.#options.watch.startAnew();
  }

  /** Once a second: all states, and what the rules say of them and of what is missing. */
  tick(): void {
    this.evaluateAll();
    this.#options.watch.tick();
  }

  /** Kegs heard of lately that are not in the catalogue. */
  suggestedKegIds(): string[] {
    const { register, probes, clock } = this.#options;
    return suggestedKegIds(register, probes, clock.nowMs());
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
      this.#guarded(kegId, () => feed.keg(this.#stateOf(keg ?? newKeg(kegId), keg !== null, nowMs)));
    }
  }

  /** A keg that we trip over is our mistake; it must take neither the others nor the service with it. */
  #guarded(kegId: string, show: () => void): void {
    try {
      show();
      this.#tripped.delete(kegId);
    } catch (error) {
      const { message } = error as Error;
      if (this.#tripped.get(kegId) === message) return;
      this.#tripped.set(kegId, message);
      this.#options.onMistake?.(error as Error, kegId);
    }
  }

  #stateOf(keg: Keg, adopted: boolean, nowMs: number): contract.KegState {
    const { register, probes, estimates, journal, fillPlans } = this.#options;
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
    const holes = journal.gapMarks(nowMs - STEADY_MS, nowMs);
    const planned = batch === null ? null : fillPlans.planned(keg.kegId);
    const state = kegState(
      { keg, adopted, site, supply, batch, facts, inputs, outlook, gasCheck, notices, holes, passed, planned },
      nowMs,
    );
    const pending = adopted && estimates.isPending(keg.kegId);
    const { verdict, sinceMs } = this.#verdicts.settle(keg.kegId, state.verdict, pending, nowMs);
    this.#options.watch.look({ ...state, verdict });
    return presentState({ ...state, verdict }, sinceMs);
  }
}

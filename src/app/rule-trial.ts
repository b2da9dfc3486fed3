import { isTold } from '../alerts/episode.ts';
import { judgeOutlook } from '../alerts/judge-outlook.ts';
import type { KegView } from '../alerts/keg-view.ts';
import type { RuleInForce, RuleName, RuleSource } from '../alerts/rule.ts';
import type * as contract from '../contract/index.ts';
import type { Probe } from '../domain/probe.ts';
import { QUANTITY_RULES, type Quantity } from '../domain/quantity.ts';
import type { ReadingBucket } from '../domain/reading.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import { AlertDesk } from './alert-desk.ts';
import { AlertWatch } from './alert-watch.ts';
import { type KeptViews, VIEW_EVERY_MS_MAX } from './kept-views.ts';
import { LiveProbes } from './live-probes.ts';
import { instant, instantOrNull } from './present.ts';
import type { Register } from './register.ts';
import type { RuleBook } from './rule-book.ts';
import { PastClock, TrialEpisodes } from './trial-episodes.ts';

const MINUTE_MS = 60_000;
const PAST_MS = 30 * 24 * 3600_000;
const STEP_MS = 5 * MINUTE_MS;
const VIEW_STEP_MS = 15 * MINUTE_MS;
const EPISODES_MAX = 200;
/** Work between two pauses for others. */
const TURN = 200;

const BEER = ['beer-temperature'] as const;
const PRESSURE = ['headspace-pressure', 'regulator-pressure', 'beer-temperature', 'ambient-pressure'] as const;
/** What each rule listens to; null: it looks at states that were kept. */
const LISTENS_TO: Readonly<Record<RuleName, readonly Quantity[] | null>> = {
  'ready-to-fill': null,
  'cold-enough': BEER,
  carbonated: null,
  'no-longer-cold': BEER,
  'will-pass-window': null,
  'over-window': null,
  'pressure-falling': ['regulator-pressure', 'ambient-pressure'],
  leak: ['cylinder-mass'],
  'regulator-creeping': PRESSURE,
  'cylinder-low': ['cylinder-mass', 'cylinder-pressure'],
  'fridge-warm': ['air-temperature', 'beer-temperature'],
  'near-freezing': BEER,
  'over-working-pressure': ['headspace-pressure', 'ambient-pressure'],
  'room-co2-long': ['room-co2'],
  'room-co2-short': ['room-co2'],
  'room-co2-danger': ['room-co2'],
  'probe-silent': Object.keys(QUANTITY_RULES) as Quantity[],
  'probe-implausible': ['beer-temperature', 'air-temperature', 'headspace-pressure', 'ambient-pressure'],
  'probe-zero': null,
  'entry-contradicts-probes': null,
  'service-trouble': [],
  'readings-not-kept': [],
  'readings-wait': [],
};
/** Rules that also look at states that were kept. */
const ALSO_STATES: ReadonlySet<RuleName> = new Set(['pressure-falling', 'leak']);
/** Where the worst of a step counts, not its mean. */
const WORST: ReadonlySet<RuleName> = new Set(['over-working-pressure', 'room-co2-danger']);
const NOTES: Readonly<Partial<Record<RuleName, string>>> = {
  'service-trouble': 'Troubles of the service are not kept, so nothing can be tried.',
  'readings-not-kept': 'Troubles of the disk are not kept, so nothing can be tried.',
  'readings-wait': 'Troubles of the store are not kept, so nothing can be tried.',
  'probe-silent': 'Times at which the service itself did not run count as silence here, other than live.',
  'probe-implausible':
    'Values that were refused are not kept with their times: only probes that stood still are found.',
};

interface PastReading {
  readonly atMs: number;
  readonly probe: Probe;
  readonly value: number;
}

export interface RuleTrialOptions {
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly store: ReadingStore;
  readonly views: KeptViews;
  readonly book: RuleBook;
  readonly nowMs: () => number;
  readonly breathe: () => Promise<void>;
}

/** Tries a rule on the past: the same watch and the same desk as live, on a clock that goes through the last 30 days. */
export class RuleTrials {
  readonly #options: RuleTrialOptions;

  constructor(options: RuleTrialOptions) {
    this.#options = options;
  }

  async run(rule: RuleInForce): Promise<contract.RuleTrial> {
    const toMs = this.#options.nowMs();
    const stepMs = rule.name === 'probe-silent' ? MINUTE_MS : STEP_MS;
    const past = await this.#readings(rule.name, toMs - PAST_MS, toMs, stepMs);
    const views = this.#views(rule.name, toMs - PAST_MS, toMs);
    const firstMs = Math.min(past[0]?.atMs ?? toMs, views[0]?.atMs ?? toMs);
    const episodes = await this.#play(rule, past, views, { firstMs, toMs, stepMs });
    const told = episodes.all().filter(isTold);
    const ends = told.filter(({ state }) => state.kind === 'ended').length;
    return {
      rule: rule.name,
      from: instant(firstMs),
      to: instant(toMs),
      stepS: (LISTENS_TO[rule.name] === null ? VIEW_STEP_MS : stepMs) / 1000,
      begins: told.length,
      messages: told.length + ends,
      episodes: told.slice(-EPISODES_MAX).map(({ target, kegId, state, message }) => ({
        target,
        kegId,
        beganAt: instant(state.beganAtMs),
        endedAt: instantOrNull(state.kind === 'ended' ? state.endedAtMs : null),
        message,
      })),
      note: NOTES[rule.name] ?? '',
    };
  }

  async #play(
    rule: RuleInForce,
    past: readonly PastReading[],
    views: readonly KegView[],
    { firstMs, toMs, stepMs }: { readonly firstMs: number; readonly toMs: number; readonly stepMs: number },
  ): Promise<TrialEpisodes> {
    const { register, book, breathe } = this.#options;
    const rules: RuleSource = (name) =>
      name === rule.name ? { ...rule, enabled: true } : { ...book.rule(name), enabled: false };
    const clock = new PastClock(firstMs);
    const probes = new LiveProbes();
    const episodes = new TrialEpisodes();
    const desk = new AlertDesk(episodes, () => undefined, rules);
    const basis = { clock, register, probes, desk, rules };
    const watch = new AlertWatch(basis, () => ({ broker: null }));
    const { units } = register.site();
    let [next, nextView, work] = [0, 0, 0];
    for (let atMs = firstMs; atMs <= toMs; atMs += stepMs) {
      clock.goTo(atMs);
      for (let one = past[next]; one !== undefined && one.atMs <= atMs; one = past[next]) {
        const { probe, value } = one;
        const time = { measuredAtMs: one.atMs, receivedAtMs: one.atMs, timeFrom: 'receipt' } as const;
        const reading = { probe, reading: { probeId: probe.probeId, value, ...time }, live: true };
        probes.accept(reading);
        watch.accept(reading);
        next += 1;
      }
      for (let view = views[nextView]; view !== undefined && view.atMs <= atMs; view = views[nextView]) {
        for (const sample of judgeOutlook(rules, view, units)) desk.sample(sample);
        nextView += 1;
      }
      watch.tick();
      work += 1;
      if (work % TURN === 0) await breathe();
    }
    return episodes;
  }

  async #readings(rule: RuleName, fromMs: number, toMs: number, stepMs: number): Promise<PastReading[]> {
    const { probes, store, breathe } = this.#options;
    const wanted: readonly Quantity[] = LISTENS_TO[rule] ?? [];
    const readings: PastReading[] = [];
    for (const { probe } of probes.all()) {
      if (!wanted.includes(probe.quantity)) continue;
      const value = ({ mean, max }: ReadingBucket) => (WORST.has(rule) ? max : mean);
      for (const bucket of await store.buckets(probe.probeId, fromMs, toMs, stepMs)) {
        readings.push({ atMs: bucket.startMs, probe, value: value(bucket) });
      }
      await breathe();
    }
    return readings.toSorted((a, b) => a.atMs - b.atMs);
  }

  /** What was kept of the kegs, filled up so that it stands until the next was kept. */
  #views(rule: RuleName, fromMs: number, toMs: number): KegView[] {
    if (LISTENS_TO[rule] !== null && !ALSO_STATES.has(rule)) return [];
    const { register, views } = this.#options;
    const all = register.kegs().flatMap((keg) => {
      const kept = views.of(keg.kegId, fromMs, toMs);
      return kept.flatMap((view, index) => {
        const untilMs = Math.min(kept[index + 1]?.atMs ?? toMs, view.atMs + VIEW_EVERY_MS_MAX + VIEW_STEP_MS);
        const count = Math.max(1, Math.ceil((untilMs - view.atMs) / VIEW_STEP_MS));
        return Array.from({ length: count }, (_, step) => ({ ...view, atMs: view.atMs + step * VIEW_STEP_MS }));
      });
    });
    return all.toSorted((a, b) => a.atMs - b.atMs);
  }
}

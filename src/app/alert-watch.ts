import { judgeOutlook } from '../alerts/judge-outlook.ts';
import { kegView } from '../alerts/keg-view.ts';
import type { KegState } from '../domain/keg-state.ts';
import type { VerdictKind } from '../domain/verdict/judge.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { ProbeReading } from './decode.ts';
import type { KeptViews } from './kept-views.ts';
import type { WatchBasis } from './watch-base.ts';
import { ReadingWatch } from './watch-readings.ts';
import { type PartTroubles, ServiceWatch } from './watch-service.ts';
import { SilenceWatch } from './watch-silence.ts';
import { TrendWatch } from './watch-trends.ts';

/** A keg's state is judged this often (ms), and at once when its verdict is another one. */
const STATE_EVERY_MS = 10_000;
/** What shows in the course of hours is looked for this often (ms). */
const TREND_EVERY_MS = 60_000;
/** A reading that was imported and is older belongs to the past (ms). */
const PAST_MS = 3600_000;
/** Values that cannot be true are refused with such words. */
const CANNOT_BE = /^.* is (outside what|what such a sensor)/;

/** Hands what is heard, computed and missed to the rules. */
export class AlertWatch {
  readonly #basis: WatchBasis;
  readonly #readings: ReadingWatch;
  readonly #trends: TrendWatch;
  readonly #silence: SilenceWatch;
  readonly #service: ServiceWatch;
  readonly #views: KeptViews | null;
  /** When each keg was judged last, and by which verdict. */
  readonly #judged = new Map<string, { readonly atMs: number; readonly kind: VerdictKind }>();
  /** Values refused since the last good one, by probe. */
  readonly #refused = new Map<string, number>();
  #trendsAtMs = Number.NEGATIVE_INFINITY;

  /** @param views keeps what rules saw; null: nothing is kept */
  constructor(basis: WatchBasis, health: () => PartTroubles, views: KeptViews | null = null) {
    this.#basis = basis;
    this.#views = views;
    this.#readings = new ReadingWatch(basis);
    this.#trends = new TrendWatch(basis);
    this.#silence = new SilenceWatch(basis);
    this.#service = new ServiceWatch(basis, health);
  }

  /** Takes over what was heard before a start. */
  restore(store: Pick<ReadingStore, 'buckets'>): Promise<void> {
    return this.#trends.restore(store);
  }

  /** Every reading, late ones too. Of a past that is imported nobody is told, but rules look back on it. */
  accept(one: ProbeReading): void {
    this.#refused.delete(one.probe.probeId);
    const isPast = !one.live && this.#basis.clock.nowMs() - one.reading.measuredAtMs > PAST_MS;
    if (!isPast) this.#readings.accept(one);
    this.#trends.accept(one, isPast);
  }

  /** A message of which values were refused. */
  refused(topic: string, reasons: readonly string[]): void {
    const count = reasons.filter((reason) => CANNOT_BE.test(reason)).length;
    if (count === 0) return;
    for (const { probeId } of this.#basis.register.directory().forTopic(topic)) this.doubted(probeId, count);
  }

  /** Values that are not believed. Several in a row are a failing probe. */
  doubted(probeId: string, count = 1): void {
    this.#refused.set(probeId, (this.#refused.get(probeId) ?? 0) + count);
  }

  /** A keg as it stands now. */
  look(state: KegState): void {
    const { kegId } = state.keg;
    const { desk, rules, register } = this.#basis;
    this.#readings.markUnverified({ kind: 'keg', id: kegId });
    if (!state.adopted) return;
    const atMs = this.#service.atMs();
    const last = this.#judged.get(kegId);
    if (last !== undefined && last.kind === state.verdict.kind && atMs - last.atMs < STATE_EVERY_MS) return;
    this.#judged.set(kegId, { atMs, kind: state.verdict.kind });
    const view = { ...kegView(state), atMs };
    for (const one of judgeOutlook(rules, view, register.site().units)) desk.sample(one);
    this.#views?.see(view);
  }

  /** A keg that is no longer kept or suggested. */
  kegGone(kegId: string): void {
    this.#judged.delete(kegId);
    this.#basis.desk.endFor(kegId, this.#service.atMs());
  }

  /** After the machine's clock was set: what was silent before it cannot be told by the new time. */
  startAnew(): void {
    this.#silence.listenAnew();
  }

  /** Once a second. */
  tick(): void {
    if (this.#service.tick()) this.#silence.listenAnew();
    const atMs = this.#service.atMs();
    this.#silence.tick(atMs);
    if (atMs - this.#trendsAtMs < TREND_EVERY_MS) return;
    this.#trendsAtMs = atMs;
    for (const { supplyId } of this.#basis.register.supplies()) {
      this.#readings.markUnverified({ kind: 'supply', id: supplyId });
    }
    this.#trends.look(atMs, this.#refused);
  }
}

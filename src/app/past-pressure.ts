import type { Keg } from '../domain/catalogue.ts';
import type { ClosedPressure } from '../domain/gas-check/tightness.ts';
import { ambientPressure, isAbsoluteSensor, type LiveValue } from '../domain/keg-inputs.ts';
import { calibrated } from '../domain/probe.ts';
import { freshLimits, freshnessAt } from '../domain/probe-health.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { Subject } from '../domain/topic.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';

/** The reading store does not answer. */
export class PastUnreadableError extends Error {
  override readonly name = 'PastUnreadableError';
}

/** Reads past pressures of a keg, with what it takes to understand them: temperature and air pressure. */
export class PastPressure {
  readonly #register: Register;
  readonly #probes: LiveProbes;
  readonly #store: ReadingStore;

  constructor(register: Register, probes: LiveProbes, store: ReadingStore) {
    this.#register = register;
    this.#probes = probes;
    this.#store = store;
  }

  /** Whether the pressure in the keg is known now. */
  isHeard(kegId: string, nowMs: number): boolean {
    const value = this.#newest({ kind: 'keg', id: kegId }, 'headspace-pressure');
    if (value === null) return false;
    return freshnessAt(freshLimits(value.rhythm), nowMs - value.rhythm.lastMeasuredAtMs) !== 'stale';
  }

  /**
   * Steps of `widthMs` over fromMs <= time < toMs in which a pressure was heard, in order of time. Rejects with
   * `PastUnreadableError`.
   */
  async steps(keg: Keg, fromMs: number, toMs: number, widthMs: number): Promise<ClosedPressure[]> {
    const subject: Subject = { kind: 'keg', id: keg.kegId };
    const headspace = this.#newest(subject, 'headspace-pressure');
    if (headspace === null || toMs <= fromMs) return [];
    const facts = this.#register.factsOf(keg, toMs);
    const assumed = ambientPressure(null, facts.altitudeMetres, this.#register.site()).kpaAbsolute;
    // In an empty keg no beer tells how warm the gas is; the air around it does.
    const thermometer =
      this.#newest(subject, 'beer-temperature') ?? this.#newest({ kind: 'place', id: keg.placeId }, 'air-temperature');
    const [pressures, temperatures, barometer] = await Promise.all([
      this.#means(headspace, fromMs, toMs, widthMs),
      this.#means(thermometer, fromMs, toMs, widthMs),
      this.#means(this.#newest({ kind: 'site' }, 'ambient-pressure'), fromMs, toMs, widthMs),
    ]);
    return [...pressures].map(([atMs, kpa]) => {
      const ambientKpaAbsolute = barometer.get(atMs) ?? null;
      const kpaGauge = kpa - (isAbsoluteSensor(headspace.probe) ? (ambientKpaAbsolute ?? assumed) : 0);
      return { atMs, kpaGauge, beerC: temperatures.get(atMs) ?? null, ambientKpaAbsolute };
    });
  }

  async #means(
    value: LiveValue | null,
    fromMs: number,
    toMs: number,
    widthMs: number,
  ): Promise<ReadonlyMap<number, number>> {
    if (value === null) return new Map();
    const buckets = await this.#store.buckets(value.probe.probeId, fromMs, toMs, widthMs).catch((cause: Error) => {
      throw new PastUnreadableError(cause.message, { cause });
    });
    return new Map(buckets.map(({ startMs, mean }) => [startMs, calibrated(value.probe, mean, startMs)]));
  }

  #newest(subject: Subject, quantity: Quantity): LiveValue | null {
    const same = this.#probes.of(subject).filter(({ probe }) => probe.quantity === quantity);
    return same.toSorted((a, b) => b.rhythm.lastMeasuredAtMs - a.rhythm.lastMeasuredAtMs)[0] ?? null;
  }
}

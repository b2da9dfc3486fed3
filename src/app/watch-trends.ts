import { implausible, standstillOf } from '../alerts/judge-probe.ts';
import { judgeRoomCo2 } from '../alerts/judge-reading.ts';
import {
  judgeCreeping,
  judgeCylinderLoss,
  judgePlaceTrend,
  judgeRegulatorLow,
  placeChangedAtMs,
  TREND_KEEP_MS,
  TREND_WIDTH_MS,
} from '../alerts/judge-trend.ts';
import { addToTrend, type Trend, timeMean } from '../alerts/trend.ts';
import type { Keg } from '../domain/catalogue.ts';
import { calibrated, type Probe } from '../domain/probe.ts';
import { freshLimits, freshnessAt } from '../domain/probe-health.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { ReadingBucket } from '../domain/reading.ts';
import type { Subject } from '../domain/topic.ts';
import type { ReadingStore } from '../ports/reading-store.ts';
import type { ProbeReading } from './decode.ts';
import { chosenProbe, judgedValue, subjectWords, type WatchBasis } from './watch-base.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const USUAL_SPANS = { widthMs: TREND_WIDTH_MS, keepMs: TREND_KEEP_MS };
/** Of CO2 in a room means of 15 min and 8 h are wanted. */
const ROOM_SPANS = { widthMs: MINUTE_MS, keepMs: 8 * HOUR_MS };
const SPANS_OF: Readonly<Partial<Record<Quantity, typeof USUAL_SPANS>>> = {
  'beer-temperature': USUAL_SPANS,
  'air-temperature': USUAL_SPANS,
  'headspace-pressure': USUAL_SPANS,
  'regulator-pressure': USUAL_SPANS,
  'cylinder-mass': USUAL_SPANS,
  'ambient-pressure': USUAL_SPANS,
  'room-co2': ROOM_SPANS,
};

interface Kept {
  readonly probe: Probe;
  readonly spans: ReadingBucket[];
}

/** Keeps what probes said in the last days, and runs the rules that look at the course of things. */
export class TrendWatch {
  readonly #basis: WatchBasis;
  readonly #trends = new Map<string, Kept>();

  constructor(basis: WatchBasis) {
    this.#basis = basis;
  }

  /** Takes over from the store what was said before a start. */
  async restore(store: Pick<ReadingStore, 'buckets'>): Promise<void> {
    const { probes, clock } = this.#basis;
    const nowMs = clock.nowMs();
    for (const { probe } of probes.all()) {
      const spans = SPANS_OF[probe.quantity];
      if (spans === undefined) continue;
      const past = await store.buckets(probe.probeId, nowMs - spans.keepMs, nowMs, spans.widthMs);
      this.#trends.set(probe.probeId, { probe, spans: past });
    }
  }

  /** @param isPast it is remembered, but nobody is told of it */
  accept({ probe, reading }: ProbeReading, isPast: boolean): void {
    const spans = SPANS_OF[probe.quantity];
    if (spans === undefined) return;
    const kept = this.#trends.get(probe.probeId) ?? { probe, spans: [] };
    this.#trends.set(probe.probeId, { ...kept, probe });
    addToTrend(kept.spans, reading.measuredAtMs, reading.value, spans);
    if (!isPast && probe.quantity === 'room-co2' && probe.subject.kind === 'place') {
      this.#roomCo2(probe, probe.subject.id, reading.measuredAtMs, reading.value);
    }
  }

  #roomCo2(probe: Probe, placeId: string, atMs: number, value: number): void {
    const { register, desk, rules } = this.#basis;
    const trend = this.#trendOf(probe);
    const mean = (spanMs: number, heardMs: number) =>
      timeMean(trend, atMs - spanMs, atMs, { holdMs: 30 * MINUTE_MS, heardMs });
    const room = {
      placeId,
      name: register.place(placeId)?.name ?? placeId,
      atMs,
      ppm: calibrated(probe, value, atMs),
      mean15minPpm: mean(15 * MINUTE_MS, 10 * MINUTE_MS),
      mean8hPpm: mean(8 * HOUR_MS, 4 * HOUR_MS),
    };
    for (const one of judgeRoomCo2(rules, room)) desk.sample(one);
  }

  /** Now and then: everything that shows in the course of hours and days. */
  look(atMs: number, refused: ReadonlyMap<string, number>): void {
    for (const { placeId, name } of this.#basis.register.places()) this.#place(placeId, name, atMs);
    for (const { supplyId, name } of this.#basis.register.supplies()) this.#supply(supplyId, name, atMs);
    for (const keg of this.#basis.register.kegs()) this.#keg(keg, atMs);
    for (const probe of this.#spokenProbes(refused)) {
      const trend = this.#trends.get(probe.probeId)?.spans ?? [];
      const where = subjectWords(this.#basis, probe.subject);
      const count = refused.get(probe.probeId) ?? 0;
      const course = { probe, where, trend, witnesses: this.#airAround(probe), refused: count, atMs };
      this.#basis.desk.sample(implausible(this.#basis.rules, course));
      const stands = standstillOf(this.#basis.rules, course);
      // Where nothing tells, what was known before holds.
      if (stands?.isStuck !== null)
        this.#basis.probes.setStuck(probe.probeId, stands === null || !stands.isStuck ? null : stands.sinceMs);
    }
  }

  /** What other thermometers of the air around a probe said. */
  #airAround({ probeId, subject }: Probe): Trend[] {
    const { register, probes } = this.#basis;
    const placeId =
      subject.kind === 'keg' ? register.keg(subject.id)?.placeId : subject.kind === 'place' ? subject.id : null;
    if (placeId === undefined || placeId === null) return [];
    const air = probes.of({ kind: 'place', id: placeId }).filter(({ probe }) => probe.quantity === 'air-temperature');
    return air.flatMap(({ probe }) =>
      probe.probeId === probeId ? [] : [this.#trends.get(probe.probeId)?.spans ?? []],
    );
  }

  /** Probes that speak, be it nonsense. A silent one neither works nor fails. */
  #spokenProbes(refused: ReadonlyMap<string, number>): Probe[] {
    const { probes, clock, register } = this.#basis;
    const speaking = probes.all().filter(({ rhythm }) => {
      return freshnessAt(freshLimits(rhythm), clock.nowMs() - rhythm.lastMeasuredAtMs) !== 'stale';
    });
    const ids = new Set([...speaking.map(({ probe }) => probe.probeId), ...refused.keys()]);
    return [...ids].flatMap((probeId) => register.directory().byId(probeId) ?? []);
  }

  #place(placeId: string, name: string, atMs: number): void {
    const { register, desk, rules } = this.#basis;
    const kegs = register.kegs().filter((keg) => keg.placeId === placeId);
    const air = this.#newest({ kind: 'place', id: placeId }, 'air-temperature', atMs);
    const beers = kegs.flatMap((keg) => {
      const beer = this.#newest({ kind: 'keg', id: keg.kegId }, 'beer-temperature', atMs);
      const batch = register.batchAt(keg.kegId, atMs);
      return beer === null || batch === null
        ? []
        : { name: batch.name, trend: this.#trendOf(beer), filledAtMs: batch.beganAtMs };
    });
    // Without an air probe and beer in it nothing tells of a place.
    if (air === null && beers.length === 0) return;
    const { units } = register.site();
    const facts = kegs.map((keg) => register.factsOf(keg, atMs).fridgeCelsius);
    const setC = facts.find((celsius) => celsius !== null) ?? null;
    const trend = air === null ? null : this.#trendOf(air);
    const changedAtMs = placeChangedAtMs(
      kegs.flatMap((keg) => register.eventsOf(keg)),
      atMs,
    );
    desk.sample(judgePlaceTrend(rules, { placeId, name, atMs, air: trend, setC, changedAtMs, beers, units }));
  }

  #supply(supplyId: string, name: string, atMs: number): void {
    const { register, desk, rules } = this.#basis;
    const subject: Subject = { kind: 'supply', id: supplyId };
    const onIt = register.kegs().filter((keg) => keg.supplyId === supplyId);
    const events = onIt
      .flatMap((keg) => register.eventsOf(keg))
      .filter((event) => event.atMs <= atMs)
      .toSorted((a, b) => a.atMs - b.atMs);
    const scale = this.#newest(subject, 'cylinder-mass', atMs);
    if (scale !== null) {
      desk.sample(judgeCylinderLoss(rules, { supplyId, name, atMs, mass: this.#trendOf(scale), events }));
    }
    const regulator = this.#newest(subject, 'regulator-pressure', atMs);
    if (regulator === null) return;
    const settings = onIt.map((keg) => register.factsOf(keg, atMs).regulatorKpaGauge);
    const regulated = {
      target: supplyId,
      kegId: null,
      supplyId,
      placeId: null,
      name,
      atMs,
      pressure: this.#trendOf(regulator),
      beer: null,
      events: events.filter((event) => event.subject.kind === 'supply'),
      isOn: true,
      settingKpaGauge: settings.find((kpa) => kpa !== null) ?? null,
      units: register.site().units,
    };
    desk.sample(judgeCreeping(rules, regulated));
    desk.sample(judgeRegulatorLow(rules, regulated));
  }

  #keg(keg: Keg, atMs: number): void {
    const { register, desk, rules } = this.#basis;
    const { kegId, supplyId, placeId } = keg;
    const batch = register.batchAt(kegId, atMs);
    const pressure = this.#newest({ kind: 'keg', id: kegId }, 'headspace-pressure', atMs);
    if (pressure === null) return;
    const beer = this.#newest({ kind: 'keg', id: kegId }, 'beer-temperature', atMs);
    const facts = register.factsOf(keg, atMs);
    desk.sample(
      judgeCreeping(rules, {
        target: kegId,
        kegId,
        supplyId,
        placeId,
        name: batch?.name ?? keg.name,
        atMs,
        pressure: this.#trendOf(pressure),
        beer: beer === null ? null : this.#trendOf(beer),
        events: register.eventsOf(keg),
        isOn: batch !== null && facts.gas === 'on',
        settingKpaGauge: facts.regulatorKpaGauge,
        units: register.site().units,
      }),
    );
  }

  #newest(subject: Subject, quantity: Quantity, atMs: number): Probe | null {
    return chosenProbe(this.#basis.probes.of(subject), quantity, atMs)?.probe ?? null;
  }

  /** The trend of a probe as rules judge it. */
  #trendOf(probe: Probe): Trend {
    const spans = this.#trends.get(probe.probeId)?.spans ?? [];
    const last = spans.at(-1);
    if (last === undefined) return [];
    // An absolute sensor is compared with itself, so the air pressure of now serves for all.
    const absoluteKpa =
      calibrated(probe, last.mean, last.startMs) - judgedValue(this.#basis, probe, last.mean, last.startMs);
    if (probe.calibration.length === 0 && absoluteKpa === 0) return spans;
    const judged = (value: number, atMs: number) => calibrated(probe, value, atMs) - absoluteKpa;
    return spans.map((span) => ({
      ...span,
      min: judged(span.min, span.startMs),
      mean: judged(span.mean, span.startMs),
      max: judged(span.max, span.startMs),
    }));
  }
}

import { type Cleaned, CleanSeries } from './clean/cleaned.ts';
import { STEP_MS } from './clean/step.ts';
import { isAbsoluteSensor } from './keg-inputs.ts';
import { calibrated, type Probe } from './probe.ts';
import { heard, type ProbeRhythm } from './probe-health.ts';
import type { Reading } from './reading.ts';

/** What the estimate of a keg rests on. */
const TRACKED = ['beer-temperature', 'air-temperature', 'headspace-pressure', 'ambient-pressure'] as const;
export type TrackedQuantity = (typeof TRACKED)[number];

/** A calibrated reading that bears on a keg. */
export interface TrackReading {
  readonly probeId: string;
  readonly quantity: TrackedQuantity;
  readonly measuredAtMs: number;
  /** In the quantity's unit. */
  readonly value: number;
  /** The sensor of a gauge pressure measures against vacuum. */
  readonly absolute: boolean;
}

/** A reading as the track takes it, calibrated; null if the estimate does not rest on its quantity. */
export function trackReading(probe: Probe, { measuredAtMs, value }: Reading): TrackReading | null {
  const quantity = TRACKED.find((one) => one === probe.quantity);
  if (quantity === undefined) return null;
  return {
    probeId: probe.probeId,
    quantity,
    measuredAtMs,
    value: calibrated(probe, value, measuredAtMs),
    absolute: isAbsoluteSensor(probe),
  };
}

/** A value that changes by less between readings is never wild: °C and kPa. A keg's pressure moves with every draw. */
const USUAL: Readonly<Record<TrackedQuantity, number>> = {
  'beer-temperature': 1,
  'air-temperature': 2.5,
  'headspace-pressure': 3,
  'ambient-pressure': 0.5,
};
/** Air pressure changes slowly: a barometer's word is good for this long (ms). */
const BAROMETER_MS = 30 * 60_000;
/** Readings from which a probe's usual interval is told. */
const RHYTHM_POINTS = 16;
const RHYTHM_MS = 24 * 3600_000;

interface Series {
  readonly probeId: string;
  readonly quantity: TrackedQuantity;
  readonly absolute: boolean;
  readonly readings: CleanSeries;
}

interface Heard extends Cleaned {
  readonly series: Series;
}

/** What was measured within a step. */
export interface StepInputs {
  readonly beerC: number | null;
  readonly headspaceKpaGauge: number | null;
  readonly ambientKpaAbsolute: number;
  readonly ambientFromBarometer: boolean;
}

/** One quantity's newest value and how often its probe speaks. */
export interface Newest {
  readonly probeId: string;
  readonly value: number;
  readonly rhythm: ProbeRhythm;
}

/** The readings of a keg's probes by step, whatever the order in which they came. */
export class TrackInputs {
  readonly #series = new Map<string, Series>();

  /** Takes a reading in; false if it changed nothing. */
  add({ probeId, quantity, measuredAtMs, value, absolute }: TrackReading): boolean {
    let series = this.#series.get(probeId);
    if (series === undefined) {
      series = { probeId, quantity, absolute, readings: new CleanSeries(USUAL[quantity]) };
      this.#series.set(probeId, series);
    }
    return series.readings.add({ atMs: measuredAtMs, value });
  }

  /** What was measured in the step that begins there; `altitudeKpa` is the air pressure where no barometer tells it. */
  step(startMs: number, altitudeKpa: number, airStandsIn: boolean): StepInputs {
    const barometer = this.#latest('ambient-pressure', startMs + STEP_MS, BAROMETER_MS);
    const ambientKpaAbsolute = barometer?.mean ?? altitudeKpa;
    const beer =
      this.#within('beer-temperature', startMs) ?? (airStandsIn ? this.#within('air-temperature', startMs) : null);
    const pressure = this.#within('headspace-pressure', startMs);
    return {
      beerC: beer?.mean ?? null,
      headspaceKpaGauge: pressure === null ? null : pressure.mean - (pressure.series.absolute ? ambientKpaAbsolute : 0),
      ambientKpaAbsolute,
      ambientFromBarometer: barometer !== null,
    };
  }

  /** The newest value of a quantity in the steps before `untilMs`, no older than `withinMs`. */
  newest(quantity: TrackedQuantity, untilMs: number, withinMs: number, ambientKpa: number): Newest | null {
    const found = this.#latest(quantity, untilMs, withinMs);
    if (found === null) return null;
    const { readings, probeId, absolute } = found.series;
    const times = readings.timesBefore(untilMs, RHYTHM_POINTS, RHYTHM_MS);
    const { intervalsMs } = times.reduce((known, atMs) => heard(known, atMs), heard(null, Math.min(...times)));
    return {
      probeId,
      value: found.mean - (absolute ? ambientKpa : 0),
      rhythm: { lastMeasuredAtMs: found.lastAtMs, intervalsMs },
    };
  }

  forgetBefore(untilMs: number): void {
    for (const { readings } of this.#series.values()) readings.forgetBefore(untilMs);
  }

  /** Of several probes of a quantity the one that said most counts. */
  #within(quantity: TrackedQuantity, startMs: number): Heard | null {
    return this.#best(
      quantity,
      (readings) => readings.step(startMs),
      ({ count }) => count,
    );
  }

  /** Of several probes of a quantity the one heard last counts. */
  #latest(quantity: TrackedQuantity, untilMs: number, withinMs: number): Heard | null {
    return this.#best(
      quantity,
      (readings) => readings.last(untilMs, withinMs),
      ({ lastAtMs }) => lastAtMs,
    );
  }

  /** Of equals the first by name counts, so that the order of arrival decides nothing. */
  #best(
    quantity: TrackedQuantity,
    clean: (readings: CleanSeries) => Cleaned | null,
    rank: (cleaned: Cleaned) => number,
  ): Heard | null {
    let best: Heard | null = null;
    for (const series of this.#series.values()) {
      const cleaned = series.quantity === quantity ? clean(series.readings) : null;
      if (cleaned === null) continue;
      const lead = best === null ? 1 : rank(cleaned) - rank(best);
      const isFirst = best === null || series.probeId < best.series.probeId;
      if (lead > 0 || (lead === 0 && isFirst)) best = { ...cleaned, series };
    }
    return best;
  }
}

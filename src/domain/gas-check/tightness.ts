/**
 * Does a closed keg hold its gas? In an empty one nothing but a leak takes gas away, so its pressure, brought to one
 * temperature, falls by the law of a leak. In one with beer the beer takes up gas as well: there the estimate has the say.
 */
import { gasMoles } from '../../physics/co2.ts';
import { celsius, kpaAbsolute, litres } from '../../physics/units.ts';
import type { DissolvedEstimate } from '../estimate/types.ts';
import type { PressureStep } from './closed-course.ts';

/** A mean over a few minutes of a closed keg. */
export interface ClosedPressure extends PressureStep {
  /** Temperature in or at the keg; null: not heard. */
  readonly beerC: number | null;
  /** By a barometer; null: there is none. */
  readonly ambientKpaAbsolute: number | null;
}

export interface Tightness {
  readonly finding: 'tight' | 'leaks' | 'too-early' | 'unknown';
  /** Fall of the pressure at a steady temperature, and half width of its 90 % interval; null while unknown. */
  readonly kpaPerHour: number | null;
  readonly kpaPerHourPlusMinus: number | null;
  /** Hours until a leak that matters would show; null if it can be told now. */
  readonly hoursLeft: number | null;
}

const HOUR_MS = 3600_000;
/** Gas that was just let in is not at the keg's temperature yet (ms). Common practice, no source. */
const SETTLING_MS = 15 * 60_000;
/** Shorter than this, and with less pressure than this, nothing can be told (h; kPa gauge). */
const SHORTEST_HOURS = 0.3;
const LEAST_KPA_GAUGE = 20;
/** A leak matters that would take the whole pressure within a week, if it went on as now. Common practice, no source. */
const MATTERS_HOURS = 7 * 24;
/** Between tight and leaking lies half of a leak that matters. */
const DECIDING_SHARE = 0.5;
/** Pressures this far apart count as independent (h); least noise of one (kPa). */
const INDEPENDENT_HOURS = 1 / 6;
const NOISE_KPA = 0.15;
/**
 * What the whole course may be off by, beginning against end (kPa, one standard deviation): the gas's temperature against the
 * probe's, by 0.3 K, or by 1.5 K where none is heard; the weather where there is no barometer; the probe itself.
 */
const DRIFT_SHARE = 0.3 / 280;
const DRIFT_SHARE_BLIND = 1.5 / 280;
const WEATHER_KPA = 0.4;
const PROBE_KPA = 0.1;
/** Half width of a 90 % interval in standard deviations. */
const NINETY = 1.645;
const USUAL_C = 10;
const SEA_LEVEL_KPA = 101.325;

/** Tells it of an empty keg from its pressures since it was closed, in order of time. */
export function tightnessOfEmpty(course: readonly ClosedPressure[], closedAtMs: number): Tightness {
  const settled = course.filter(({ atMs }) => atMs >= closedAtMs + SETTLING_MS);
  const points = standardised(settled);
  const hours = points.map(({ hour }) => hour);
  const span = Math.max(0, ...hours) - Math.min(0, ...hours);
  if (points.length < 4 || span < SHORTEST_HOURS)
    return { ...UNKNOWN, finding: 'too-early', hoursLeft: SHORTEST_HOURS };
  const { gauge } = points.reduce((_, last) => last);
  if (gauge < LEAST_KPA_GAUGE) return UNKNOWN;
  const { slope, noise } = fitted(points);
  const { perUnit } = lawAt(gauge, ambientOf(settled));
  const drift = driftKpa(settled, gauge);
  const plusMinus = (length: number) =>
    NINETY * Math.hypot(drift / length, (noise * perUnit) / Math.sqrt(weight(length)));
  const kpaPerHour = slope * perUnit;
  const off = plusMinus(span);
  const matters = gauge / MATTERS_HOURS;
  const told = { kpaPerHour, kpaPerHourPlusMinus: off, hoursLeft: null };
  // Gas comes in: the valve is not shut, or the keg warms where no thermometer sees it.
  if (kpaPerHour + off < 0 && kpaPerHour < -matters) return { ...told, finding: 'unknown' };
  if (kpaPerHour + off < matters) return { ...told, finding: 'tight' };
  if (kpaPerHour - off > DECIDING_SHARE * matters) return { ...told, finding: 'leaks' };
  const enough = LENGTHS_HOURS.filter((length) => length > span && plusMinus(length) <= DECIDING_SHARE * matters);
  return {
    ...told,
    finding: 'too-early',
    hoursLeft: Math.max(SHORTEST_HOURS, Math.min(LONGEST_HOURS, ...enough) - span),
  };
}

const UNKNOWN: Tightness = { finding: 'unknown', kpaPerHour: null, kpaPerHourPlusMinus: null, hoursLeft: null };
const LONGEST_HOURS = 48;
const LENGTHS_HOURS = Array.from({ length: 4 * LONGEST_HOURS }, (_, index) => (index + 1) / 4);

interface Standardised {
  /** Since the first. */
  readonly hour: number;
  /** Pressure that this much gas has at the mean temperature over the mean air pressure (kPa gauge). */
  readonly gauge: number;
  /** How far the law of a leak has run since a pressure far above (h per unit of leak). */
  readonly run: number;
}

/** Brings pressures to one temperature and air pressure. */
function standardised(course: readonly ClosedPressure[]): Standardised[] {
  const heard = course.flatMap(({ beerC }) => beerC ?? []);
  const [meanC, firstC] = heard.length === 0 ? [USUAL_C, USUAL_C] : [mean(heard), heard.reduce((first) => first)];
  const ambient = ambientOf(course);
  let lastC = firstC;
  return course.map(({ atMs, kpaGauge, beerC, ambientKpaAbsolute }) => {
    lastC = beerC ?? lastC;
    const absolute = kpaGauge + (ambientKpaAbsolute ?? ambient);
    const gauge = absolute * likeAt(meanC, lastC, absolute) - ambient;
    const sinceMs = Math.min(...course.map((one) => one.atMs));
    return { hour: (atMs - sinceMs) / HOUR_MS, gauge, run: lawAt(gauge, ambient).run };
  });
}

function ambientOf(course: readonly ClosedPressure[]): number {
  const heard = course.flatMap(({ ambientKpaAbsolute }) => ambientKpaAbsolute ?? []);
  return heard.length === 0 ? SEA_LEVEL_KPA : mean(heard);
}

/** Pressure at one temperature over that at another for the same gas in the same space; CO2 with its second virial. */
function likeAt(wantedC: number, heldC: number, absoluteKpa: number): number {
  const bounded = (value: number, low: number, high: number) => Math.min(high, Math.max(low, value));
  const pressure = kpaAbsolute(bounded(absoluteKpa, 1, 1400));
  const held = gasMoles(pressure, litres(1), celsius(bounded(heldC, -5, 45)));
  return held / gasMoles(pressure, litres(1), celsius(bounded(wantedC, -5, 45)));
}

/** Where the flow through a hole ceases to be choked, outer over inner pressure. @source ISO 6358, CO2 as in the estimate */
const CRITICAL_RATIO = 0.546;
const LAW_PARTS = 40;

/**
 * A leak empties a space by dp/dt = -a p f(p), f falling from 1 to 0 as the flow ceases to be choked. `run` is the integral of
 * dp/(p f) from that pressure up to ten bar, so that it rises evenly with time; `perUnit` is p f, the fall per unit of it.
 * @source ISO 6358: an ellipse below the critical ratio
 */
function lawAt(kpaGauge: number, ambient: number): { readonly run: number; readonly perUnit: number } {
  const flow = (pressure: number) => {
    const over = Math.max(0, ambient / pressure - CRITICAL_RATIO) / (1 - CRITICAL_RATIO);
    return Math.sqrt(Math.max(1e-4, 1 - over * over));
  };
  const pressure = Math.max(ambient + 1, kpaGauge + ambient);
  const part = Math.log(1000 / pressure) / LAW_PARTS;
  let run = 0;
  for (let index = 0; index < LAW_PARTS; index += 1) run += part / flow(pressure * Math.exp((index + 0.5) * part));
  return { run, perUnit: pressure * flow(pressure) };
}

/** The line through the law's run over time, and how far points lie off it. */
function fitted(points: readonly Standardised[]): { readonly slope: number; readonly noise: number } {
  const [hour, run] = [mean(points.map((point) => point.hour)), mean(points.map((point) => point.run))];
  let [across, along] = [0, 0];
  for (const point of points) {
    across += (point.hour - hour) * (point.run - run);
    along += (point.hour - hour) ** 2;
  }
  const slope = across / along;
  const off = points.map((point) => (point.run - run - slope * (point.hour - hour)) ** 2);
  const least = NOISE_KPA / mean(points.map(({ gauge }) => gauge + SEA_LEVEL_KPA));
  return { slope, noise: Math.max(least, Math.sqrt(mean(off))) };
}

/** Sum of squared distances from the middle of independent points over a length (h2). */
function weight(lengthHours: number): number {
  return (lengthHours / INDEPENDENT_HOURS) * (lengthHours ** 2 / 12);
}

function driftKpa(course: readonly ClosedPressure[], gauge: number): number {
  const blind = course.every(({ beerC }) => beerC === null);
  const noBarometer = course.every(({ ambientKpaAbsolute }) => ambientKpaAbsolute === null);
  const heat = (gauge + SEA_LEVEL_KPA) * (blind ? DRIFT_SHARE_BLIND : DRIFT_SHARE);
  return Math.hypot(heat, noBarometer ? WEATHER_KPA : 0, PROBE_KPA);
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Belief in a leak below which a filled keg counts as tight. */
const HARDLY_LEAKING = 0.02;
/** After so long a medium leak of a filled keg has mostly shown (h); measured on simulated kegs. */
const FILLED_HOURS = 6;

/** Tells it of a keg with beer by the estimate, which knows absorption from a leak as well as can be. */
export function tightnessOfFilled(
  estimate: Pick<DissolvedEstimate, 'leak' | 'leakProbability'> | null,
  hours: number,
): Tightness {
  if (estimate === null) return UNKNOWN;
  if (estimate.leak === 'likely') return { ...UNKNOWN, finding: 'leaks' };
  if (estimate.leak === 'none' && estimate.leakProbability < HARDLY_LEAKING) return { ...UNKNOWN, finding: 'tight' };
  return { ...UNKNOWN, finding: 'too-early', hoursLeft: Math.max(1, FILLED_HOURS - hours) };
}

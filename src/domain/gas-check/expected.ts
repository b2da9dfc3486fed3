import { STEP_MS } from '../clean/step.ts';
import { at } from '../estimate/cloud.ts';
import type { EstimateStep, StepEvent } from '../estimate/types.ts';
import type { RunningEstimate } from '../keg-track-types.ts';

/** What is to be expected of a check of so many hours in all. */
export interface Expectation {
  readonly hours: number;
  readonly shaken: boolean;
  /** Half width of the 90 % interval after it (volumes). */
  readonly plusMinus: number;
}

/** How the keg is now. */
export interface PresentKeg {
  readonly beerC: number;
  readonly ambientKpaAbsolute: number;
  readonly ambientFromBarometer: boolean;
  readonly co2Ratio: number;
  /** Hours that a check has been going on; null: none is. */
  readonly runningHours: number | null;
}

/** Lengths of a check that are looked at (h in all). */
export const CHECK_HOURS = [1, 4, 12] as const;
/** A shaken check: two minutes shaken, then half an hour at rest. */
export const SHAKEN_HOURS = 0.5;
const SHAKE_S = 120;
const SHAKEN_STEPS = 7;
/** A length that is as good as reached is no longer looked at (h). */
const LEFT_HOURS_MIN = 0.25;
/** Kegs that are tried: each costs as much as the estimate of half a day. */
const KEGS = 5;
/** Steps worked out in one go, so that whoever asks is never held up for long. */
const STEPS_AT_ONCE = 12;
const SEED = 11;

/**
 * Works out what checks of several lengths would leave of the band, with a few kegs that this one could be: each is closed,
 * its pressure is fed to a copy of the estimate, and the middle one of the bands that come of it is told. Yields between its parts.
 */
export function* expectations(estimate: RunningEstimate, present: PresentKeg): Generator<void, Expectation[]> {
  const elapsed = present.runningHours ?? 0;
  const still = CHECK_HOURS.filter((hours) => hours - elapsed >= LEFT_HOURS_MIN).map((hours) => ({
    hours,
    steps: Math.round(((hours - elapsed) * 3600_000) / STEP_MS),
  }));
  const shaken = yield* tried(estimate, present, [{ hours: SHAKEN_HOURS, steps: SHAKEN_STEPS }], true);
  const all = [...shaken, ...(yield* tried(estimate, present, still, false))];
  // To look takes no knowledge away, though a handful of kegs may say so by chance.
  const { low, high } = estimate.estimate();
  return all.map((one) => ({ ...one, plusMinus: Math.min(one.plusMinus, (high - low) / 2) }));
}

/** Tries checks of several lengths at once: each is a part of the longest. */
function* tried(
  estimate: RunningEstimate,
  present: PresentKeg,
  lengths: readonly { readonly hours: number; readonly steps: number }[],
  shaken: boolean,
): Generator<void, Expectation[]> {
  const found: { readonly steps: number; readonly plusMinus: number }[] = [];
  const kegs = estimate.closedKegs({ count: KEGS, seed: SEED, shakeS: shaken ? SHAKE_S : 0 });
  const longest = Math.max(0, ...lengths.map(({ steps }) => steps));
  const pressures = Array.from({ length: longest }, () => kegs.after(STEP_MS / 1000));
  for (let keg = 0; keg < KEGS; keg += 1) {
    const copy = estimate.copy();
    const { atMs } = copy.estimate();
    for (const [step, kpaGauge] of pressures.entries()) {
      const fromMs = atMs + step * STEP_MS;
      const events = step === 0 ? closingEvents(fromMs, present, shaken) : [];
      copy.advance(stepOf(fromMs, at(kpaGauge, keg), present, events));
      if (lengths.some(({ steps }) => steps === step + 1)) {
        const { low, high } = copy.estimate();
        found.push({ steps: step + 1, plusMinus: (high - low) / 2 });
      }
      if (step % STEPS_AT_ONCE === STEPS_AT_ONCE - 1) yield;
    }
    yield;
  }
  return lengths.map(({ hours, steps }) => {
    const halves = found.filter((one) => one.steps === steps).map(({ plusMinus }) => plusMinus);
    return { hours, shaken, plusMinus: middle(halves) };
  });
}

/** The middle one: a keg now and then is an odd one. */
function middle(values: readonly number[]): number {
  const lower = values.toSorted((a, b) => a - b).slice(0, Math.floor(values.length / 2) + 1);
  return Math.max(...lower);
}

function closingEvents(atMs: number, present: PresentKeg, shaken: boolean): StepEvent[] {
  if (shaken) {
    return [
      { kind: 'gas-check-started', atMs, shaken },
      { kind: 'shaken', atMs, seconds: SHAKE_S },
    ];
  }
  return present.runningHours === null ? [{ kind: 'gas-check-started', atMs, shaken }] : [];
}

function stepOf(
  fromMs: number,
  headspaceKpaGauge: number,
  { beerC, ambientKpaAbsolute, ambientFromBarometer, co2Ratio }: PresentKeg,
  events: readonly StepEvent[],
): EstimateStep {
  return {
    fromMs,
    toMs: fromMs + STEP_MS,
    beerC,
    headspaceKpaGauge,
    ambientKpaAbsolute,
    ambientFromBarometer,
    co2Ratio,
    events,
  };
}

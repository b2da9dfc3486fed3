/**
 * Moves of the gas that nobody entered, read off the pressure alone. With the gas on, the regulator holds the pressure; with
 * it shut, beer below its equilibrium draws the pressure down, gently and without end. Opened again, it jumps to the supply's.
 */
import { STEP_MS } from '../clean/step.ts';
import type { KegEvent } from '../event.ts';
import { type PressureStep, paceKpaPerHour } from '../gas-check/closed-course.ts';

export interface GasShut {
  readonly sinceMs: number;
  /** When the supply's pressure came back; null: it has not. */
  readonly untilMs: number | null;
  readonly fellKpa: number;
}

export interface GasOpened {
  readonly atMs: number;
  readonly roseKpa: number;
}

const HOUR_MS = 3600_000;
const HOUR_STEPS = HOUR_MS / STEP_MS;
/** How far back is looked (ms). */
const WINDOW_MS = 24 * HOUR_MS;
/** Steady: this long, within this spread (kPa), at no greater pace (kPa per hour). Chosen on simulated kegs. */
const STEADY_STEPS = 2 * HOUR_STEPS;
const STEADY_KPA = 2.5;
const STEADY_KPA_PER_HOUR = 0.7;
/** A fall that counts: this deep (kPa) and this long, no more than a share of it at once, with hardly a rise in it. */
const FALL_KPA = 4;
const FALL_STEPS = 1.5 * HOUR_STEPS;
const AT_ONCE_SHARE = 0.4;
const RISE_KPA = 1;
/** Below the supply's level by this much the pressure has left it (kPa). */
const LEFT_KPA = 0.7;
/** An entered setting and the probe agree this well, if neither is badly off (kPa). */
const SETTING_KPA = 3;
/** Opening: so much within a quarter of an hour, then steady for half an hour near what the supply gave before (kPa). */
const JUMP_KPA = 4;
const JUMP_STEPS = 3;
const HOLD_STEPS = HOUR_STEPS / 2;
const HOLD_KPA = 2;
const HOLD_KPA_PER_HOUR = 1.5;
const NEAR_SUPPLY_KPA = 4;
const NEAR_SETTING_KPA = 10;

/** What changes the pressure by itself: the level is found anew after it. */
const DISTURBING: ReadonlySet<string> = new Set([
  'keg-filled',
  'gas-opened',
  'gas-check-ended',
  'regulator-set',
  'cylinder-changed',
  'headspace-purged',
  'keg-vented',
  'keg-shaken',
  'diffusion-stone-started',
]);
const CLOSING: ReadonlySet<string> = new Set(['gas-closed', 'gas-check-started']);
/** What makes the pressure of a closed keg rise without the supply. */
const RAISING: ReadonlySet<string> = new Set(['keg-shaken', 'keg-moved', 'headspace-purged', 'keg-vented']);

/** Where the gas was shut though it was entered as on; null: nowhere. Steps and events in order of time. */
export function findGasShut(
  steps: readonly PressureStep[],
  events: readonly KegEvent[],
  settingKpaGauge: number | null,
  nowMs: number,
): GasShut | null {
  const disturbed = events.findLast(({ atMs, body }) => atMs <= nowMs && DISTURBING.has(body.kind));
  const fromMs = Math.max(nowMs - WINDOW_MS, disturbed?.atMs ?? Number.NEGATIVE_INFINITY);
  const smooth = smoothed(steps.filter(({ atMs }) => atMs >= fromMs && atMs < nowMs));
  for (const [start, { atMs: sinceMs }] of smooth.entries()) {
    if (start < STEADY_STEPS) continue;
    const before = smooth.slice(start - STEADY_STEPS, start);
    if (!isSteady(before, STEADY_KPA, STEADY_KPA_PER_HOUR)) continue;
    const levelKpa = medianKpa(before);
    const supplyKpa = Math.min(lowestOf(smooth.slice(HOUR_STEPS, start)), mostBySetting(levelKpa, settingKpaGauge));
    const found = fallOf(smooth.slice(start), levelKpa, supplyKpa);
    if (found !== null) return { sinceMs, ...found };
  }
  return null;
}

/**
 * From above the setting, where a warm keg goes, the pressure comes back to it by itself: only what is below counts (kPa), and
 * as neither the entry nor the probe is exact, clearly below.
 */
function mostBySetting(levelKpa: number, settingKpaGauge: number | null): number {
  if (settingKpaGauge === null) return levelKpa;
  return levelKpa > settingKpaGauge + 2 * SETTING_KPA ? settingKpaGauge - 1 : settingKpaGauge + SETTING_KPA;
}

/** The fall that these steps begin with; null: none that counts. */
function fallOf(steps: readonly PressureStep[], levelKpa: number, supplyKpa: number): Omit<GasShut, 'sinceMs'> | null {
  let [lowest, last, steepest, count] = [levelKpa, levelKpa, 0, 0];
  for (const { kpaGauge } of steps) {
    if (kpaGauge > levelKpa - LEFT_KPA || kpaGauge > lowest + RISE_KPA) break;
    steepest = Math.max(steepest, last - kpaGauge);
    lowest = Math.min(lowest, kpaGauge);
    last = kpaGauge;
    count += 1;
  }
  const fellKpa = levelKpa - lowest;
  if (supplyKpa - lowest < FALL_KPA || count < FALL_STEPS) return null;
  // A draw or a vent takes it at once.
  if (steepest > Math.max(AT_ONCE_SHARE * fellKpa, LEFT_KPA)) return null;
  const rest = steps.slice(count);
  const [end] = rest;
  if (end === undefined) return { untilMs: null, fellKpa };
  const isBack = rest.slice(0, 2).some(({ kpaGauge }) => kpaGauge > levelKpa - fellKpa / 2);
  return isBack ? { untilMs: end.atMs, fellKpa } : null;
}

/** When the gas was opened though it was entered as closed since; null: it was not. Steps and events in order of time. */
export function findGasOpened(
  steps: readonly PressureStep[],
  events: readonly KegEvent[],
  settingKpaGauge: number | null,
  nowMs: number,
): GasOpened | null {
  const closed = events.findLast(({ atMs, body }) => atMs <= nowMs && CLOSING.has(body.kind));
  if (closed === undefined) return null;
  const before = steps.filter(({ atMs }) => atMs < closed.atMs && atMs >= closed.atMs - HOUR_MS);
  const supplyKpa = before.length > 0 ? medianKpa(before) : null;
  const fromMs = Math.max(nowMs - WINDOW_MS, closed.atMs + STEP_MS);
  const since = steps.filter(({ atMs }) => atMs >= fromMs && atMs < nowMs);
  for (const [start, from] of since.entries()) {
    const after = since.slice(start + JUMP_STEPS, start + JUMP_STEPS + HOLD_STEPS);
    if (after.length < HOLD_STEPS) break;
    const roseKpa = medianKpa(after) - from.kpaGauge;
    if (roseKpa < JUMP_KPA || !isSteady(after, HOLD_KPA, HOLD_KPA_PER_HOUR)) continue;
    if (!isNearSupply(medianKpa(after), supplyKpa, settingKpaGauge)) continue;
    if (events.some(({ atMs, body }) => RAISING.has(body.kind) && Math.abs(atMs - from.atMs) < HOUR_MS / 2)) continue;
    return { atMs: steepestRiseMs(since.slice(start, start + JUMP_STEPS + 1)), roseKpa };
  }
  return null;
}

function isNearSupply(kpa: number, supplyKpa: number | null, settingKpaGauge: number | null): boolean {
  if (supplyKpa !== null) return Math.abs(kpa - supplyKpa) <= NEAR_SUPPLY_KPA;
  return settingKpaGauge !== null && Math.abs(kpa - settingKpaGauge) <= NEAR_SETTING_KPA;
}

/** Start of the step in which the pressure rose most. */
function steepestRiseMs(steps: readonly PressureStep[]): number {
  let [bestMs, best, last] = [0, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (const { atMs, kpaGauge } of steps) {
    if (kpaGauge - last > best) [bestMs, best] = [atMs, kpaGauge - last];
    last = kpaGauge;
  }
  return bestMs;
}

/** Each step as the middle one of itself and its neighbours: a single odd value, or a draw, leaves no trace. */
function smoothed(steps: readonly PressureStep[]): PressureStep[] {
  return steps.map(({ atMs }, index) => ({
    atMs,
    kpaGauge: medianKpa(steps.slice(Math.max(0, index - 1), index + 2)),
  }));
}

function isSteady(steps: readonly PressureStep[], spreadKpa: number, kpaPerHour: number): boolean {
  const values = steps.map(({ kpaGauge }) => kpaGauge);
  const spread = Math.max(...values) - Math.min(...values);
  return spread <= spreadKpa && Math.abs(paceKpaPerHour(steps)) <= kpaPerHour;
}

function lowestOf(steps: readonly PressureStep[]): number {
  return Math.min(...steps.map(({ kpaGauge }) => kpaGauge));
}

/** The middle one, the upper of two. */
function medianKpa(steps: readonly PressureStep[]): number {
  const sorted = steps.map(({ kpaGauge }) => kpaGauge).toSorted((a, b) => a - b);
  return Math.max(...sorted.slice(0, Math.floor(sorted.length / 2) + 1));
}

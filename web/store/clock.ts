import { computed, signal } from '@preact/signals';

/** The only file of the dashboard that reads the clock or sets timers. */
export const deviceNowMs = (): number => Date.now();

/** This device's time, moved on once a second while the page is visible. */
export const deviceNow = signal(deviceNowMs());
/** How far the service's clock is ahead of this device's; set by the live connection. */
export const clockAheadMs = signal(0);
/** The service's time: ages are counted by it, so that a tablet with a wrong clock still tells them right. */
export const serviceNow = computed(() => deviceNow.value + clockAheadMs.value);
/** The service's time by the minute, for what need not change every second. */
export const serviceMinute = computed(() => Math.floor(serviceNow.value / 60_000) * 60_000);

const TICK_MS = 1_000;
/** A tick that comes this late means that the device slept or its clock was set. */
const JUMP_MS = 15_000;

/** Starts ticking; calls `onJump` after a sleep or a clock change. Returns what stops it. */
export function startClock(onJump: () => void): () => void {
  const timer = setInterval(() => {
    const now = deviceNowMs();
    const passedMs = now - deviceNow.peek();
    if (!document.hidden) deviceNow.value = now;
    if (!document.hidden && (passedMs > JUMP_MS || passedMs < -JUMP_MS)) onJump();
  }, TICK_MS);
  return () => clearInterval(timer);
}

/** Calls `run` after a while; returns what prevents it. */
export function later(delayMs: number, run: () => void): () => void {
  const timer = setTimeout(run, delayMs);
  return () => clearTimeout(timer);
}

/** Runs at once and then every so often while the page is visible; returns what ends it. */
export function followEvery(everyMs: number, run: () => void): () => void {
  run();
  const timer = setInterval(() => document.hidden || run(), everyMs);
  return () => clearInterval(timer);
}

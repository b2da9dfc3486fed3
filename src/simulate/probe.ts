import type { QUANTITIES } from '../contract/common.ts';
import { type PayloadForm, writePayload } from './payload.ts';
import { createRandom, type Random } from './random.ts';

export type Quantity = (typeof QUANTITIES)[number];
export type Placement = 'thermowell' | 'wall' | 'air';

/** Something wrong with a probe for a while. `chance` is per reading. */
export type ProbeFault = { readonly fromMs: number; readonly untilMs: number } & (
  | { readonly kind: 'silent' }
  | { readonly kind: 'lost'; readonly chance: number }
  | { readonly kind: 'stuck' }
  /** A value anywhere within `spread` of the true one (base unit). */
  | { readonly kind: 'wild'; readonly chance: number; readonly spread: number }
  | { readonly kind: 'sentinel'; readonly chance: number; readonly value: number }
  | { readonly kind: 'doubled'; readonly chance: number }
  | { readonly kind: 'late'; readonly chance: number; readonly byMs: number }
  /** Kept by the device and delivered together when the fault ends. */
  | { readonly kind: 'held' }
  | { readonly kind: 'clock-skew'; readonly byMs: number }
);

export interface ProbeSetup {
  readonly topic: string;
  readonly quantity: Quantity;
  /** Id of the keg, supply or fridge; null for the site. */
  readonly of: string | null;
  readonly form: PayloadForm;
  /** Where a beer thermometer sits. */
  readonly placement?: Placement;
  /** Share of the air's temperature in what a wall probe feels. */
  readonly airShare?: number;
  readonly lagS?: number;
  readonly reference?: 'gauge' | 'absolute';
  /** Errors in the base unit: °C, kPa, kg. */
  readonly offset?: number;
  readonly gain?: number;
  readonly driftPerDay?: number;
  readonly noise?: number;
  readonly resolution?: number;
  readonly fromMs?: number;
  readonly untilMs?: number;
  readonly everyMs: number;
  /** From this moment on the probe reports every `liveEveryMs`. */
  readonly liveFromMs?: number;
  readonly liveEveryMs?: number;
  readonly faults?: readonly ProbeFault[];
}

export interface ProbeMessage {
  readonly topic: string;
  readonly payload: string;
  /** When it was truly measured. */
  readonly atMs: number;
  /** When it reaches the broker. */
  readonly deliverAtMs: number;
}

/** A probe at work: what it felt last and when it reports next. */
export interface ProbeTruth {
  readonly setup: ProbeSetup;
  readonly random: Random;
  readonly faultRandom: Random;
  readonly startMs: number;
  nextAtMs: number;
  felt: number | null;
  feltAtMs: number;
  lastBase: number | null;
}

export function createProbe(setup: ProbeSetup, seed: number, startMs: number): ProbeTruth {
  return {
    setup,
    random: createRandom(seed, `probe ${setup.topic}`),
    faultRandom: createRandom(seed, `faults ${setup.topic}`),
    startMs,
    nextAtMs: Math.max(startMs, setup.fromMs ?? startMs),
    felt: null,
    feltAtMs: 0,
    lastBase: null,
  };
}

const DAY_MS = 86_400_000;

/** Follows the true value with the probe's lag. */
function feel(probe: ProbeTruth, trueBase: number, nowMs: number): number {
  const lagS = probe.setup.lagS ?? 0;
  const share = probe.felt === null || lagS === 0 ? 1 : 1 - Math.exp(-(nowMs - probe.feltAtMs) / (lagS * 1000));
  probe.felt = probe.felt === null ? trueBase : probe.felt + (trueBase - probe.felt) * share;
  probe.feltAtMs = nowMs;
  return probe.felt;
}

function distort(probe: ProbeTruth, feltBase: number, nowMs: number): number {
  const { gain = 1, offset = 0, driftPerDay = 0, noise = 0, resolution = 0 } = probe.setup;
  const drift = (driftPerDay * (nowMs - probe.startMs)) / DAY_MS;
  const value = feltBase * gain + offset + drift + (noise > 0 ? probe.random.normal(0, noise) : 0);
  return resolution > 0 ? Math.round(value / resolution) * resolution : value;
}

interface Sending {
  base: number;
  skewMs: number;
  deliverAtMs: number;
  copies: number;
}

function suffer(probe: ProbeTruth, sending: Sending, nowMs: number): void {
  const { faultRandom } = probe;
  for (const fault of probe.setup.faults ?? []) {
    if (nowMs < fault.fromMs || nowMs >= fault.untilMs) continue;
    switch (fault.kind) {
      case 'silent':
        sending.copies = 0;
        break;
      case 'lost':
        if (faultRandom.chance(fault.chance)) sending.copies = 0;
        break;
      case 'stuck':
        sending.base = probe.lastBase ?? sending.base;
        break;
      case 'wild':
        if (faultRandom.chance(fault.chance)) sending.base += faultRandom.uniform(-fault.spread, fault.spread);
        break;
      case 'sentinel':
        if (faultRandom.chance(fault.chance)) sending.base = fault.value;
        break;
      case 'doubled':
        if (faultRandom.chance(fault.chance)) sending.copies *= 2;
        break;
      case 'late':
        if (faultRandom.chance(fault.chance)) sending.deliverAtMs = Math.max(sending.deliverAtMs, nowMs + fault.byMs);
        break;
      case 'held':
        sending.deliverAtMs = Math.max(sending.deliverAtMs, fault.untilMs);
        break;
      case 'clock-skew':
        sending.skewMs += fault.byMs;
    }
  }
}

/** Takes one reading at `nowMs` of a true value in its base unit and plans the next one. `into` null: nothing is written. */
export function report(probe: ProbeTruth, trueBase: number | null, nowMs: number, into: ProbeMessage[] | null): void {
  const { setup } = probe;
  const live = setup.liveFromMs !== undefined && nowMs >= setup.liveFromMs;
  const nextMs = nowMs + (live ? (setup.liveEveryMs ?? setup.everyMs) : setup.everyMs);
  // The change to the live pace falls on its own moment, not one slow interval later.
  probe.nextAtMs =
    live || setup.liveFromMs === undefined ? nextMs : Math.min(nextMs, Math.max(setup.liveFromMs, nowMs + 1));
  if (trueBase === null || (setup.untilMs !== undefined && nowMs >= setup.untilMs)) return;
  const base = distort(probe, feel(probe, trueBase, nowMs), nowMs);
  const sending: Sending = { base, skewMs: 0, deliverAtMs: nowMs, copies: 1 };
  suffer(probe, sending, nowMs);
  probe.lastBase = sending.base === base ? base : probe.lastBase;
  if (sending.copies === 0 || into === null) return;
  const payload = writePayload(sending.base, nowMs + sending.skewMs, setup.quantity, setup.form);
  for (let copy = 0; copy < sending.copies; copy += 1) {
    into.push({ topic: setup.topic, payload, atMs: nowMs, deliverAtMs: sending.deliverAtMs });
  }
}

import type { ProbeDirectory } from '../domain/probe.ts';
import { defaultProbe } from '../domain/probe.ts';
import type { StoredReading } from '../domain/reading.ts';
import type { Clock } from '../ports/clock.ts';
import type { ProbeReading } from './decode.ts';

/** Where the service publishes to itself, as a probe would. */
export const CANARY_TOPIC = 'probes/site/canary';
const CANARY = { ...defaultProbe({ kind: 'site' }, 'room-co2'), probeId: 'canary', topic: CANARY_TOPIC };
/** Values between which each is new: within what the quantity may be, so that nothing takes them for a mistake. */
const VALUE_MIN = 400;
const VALUES = 1000;
/** How long a message may take from publishing to the store (ms). */
const ROUND_MS_MAX = 30_000;

export interface CanaryOptions {
  readonly clock: Clock;
  /** Publishes over a connection of its own, as a probe does. */
  readonly publish: (topic: string, payload: string) => Promise<void>;
  /** Resolves when all that was received is in the store. */
  readonly stored: () => Promise<boolean>;
  readonly latest: (probeId: string, count: number) => Promise<StoredReading[]>;
  /** Null, or why people could not be told of anything. */
  readonly deliveryTrouble: () => string | null;
}

/** Tries the whole way: publishes a value, hears it, finds it in the store, and sees that people could be told. */
export class Canary {
  readonly #options: CanaryOptions;
  #rounds = 0;
  #awaited: { readonly value: number; readonly heard: () => void } | null = null;

  constructor(options: CanaryOptions) {
    this.#options = options;
  }

  /** Null if all of it works; else where it ends. Always resolves within a bound. */
  async round(): Promise<string | null> {
    const { clock, publish } = this.#options;
    this.#rounds += 1;
    const value = VALUE_MIN + (this.#rounds % VALUES);
    const publishedAtMs = clock.nowMs();
    let stopTimer = () => {};
    const overdue = new Promise<'overdue'>((resolve) => {
      stopTimer = clock.after(ROUND_MS_MAX, () => resolve('overdue'));
    });
    let step = 'the broker did not take a message';
    const heard = new Promise<void>((resolve) => {
      this.#awaited = { value, heard: resolve };
    });
    const way = async () => {
      await publish(CANARY_TOPIC, String(value));
      step = 'a published message did not come in';
      await heard;
      step = 'a message did not reach the store';
      if (!(await this.#options.stored())) return step;
      const [newest] = await this.#options.latest(CANARY.probeId, 1);
      if (newest?.value !== value || newest.measuredAtMs < publishedAtMs - ROUND_MS_MAX) return step;
      return this.#options.deliveryTrouble();
    };
    try {
      const outcome = await Promise.race([way(), overdue]);
      return outcome === 'overdue' ? `${step} within ${ROUND_MS_MAX / 1000} s` : outcome;
    } catch (error) {
      return `${step}: ${(error as Error).message}`;
    } finally {
      stopTimer();
      this.#awaited = null;
    }
  }

  /** Takes its own reading out of those that came in; the others are for everybody. */
  takeOwn(readings: readonly ProbeReading[]): readonly ProbeReading[] {
    const isOwn = ({ probe }: ProbeReading) => probe.probeId === CANARY.probeId;
    if (!readings.some(isOwn)) return readings;
    for (const { reading } of readings.filter(isOwn)) {
      if (reading.value === this.#awaited?.value) this.#awaited.heard();
    }
    return readings.filter((one) => !isOwn(one));
  }
}

/** A directory that knows the canary besides all probes. */
export function withCanary(directory: ProbeDirectory): ProbeDirectory {
  return { ...directory, forTopic: (topic) => (topic === CANARY_TOPIC ? [CANARY] : directory.forTopic(topic)) };
}

import { type Availability, readAvailability } from '../domain/availability.ts';
import type { Probe } from '../domain/probe.ts';
import type { IncomingMessage } from '../ports/broker.ts';
import type { Clock } from '../ports/clock.ts';
import type { Listening } from './listening.ts';
import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';

/** First characters of a payload that are looked at; no word of availability is longer. */
const WORD_BYTES_MAX = 120;

export interface DevicesOptions {
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly listening: Listening;
  readonly clock: Clock;
}

interface Said {
  readonly payload: string;
  /** Since when, as far as we heard it begin (ms). */
  readonly sinceMs: number | null;
}

/**
 * Hears devices say whether they are online. What one says holds until it says something else: a retained message is the
 * broker's memory of it, and what was heard last is kept over a restart among the topics that were heard.
 */
export class Devices {
  readonly #options: DevicesOptions;
  readonly #said = new Map<string, Said>();
  #byTopic: ReadonlyMap<string, readonly Probe[]> = new Map();

  constructor(options: DevicesOptions) {
    this.#options = options;
    options.register.onChange((change) => {
      if (change === 'probes') this.#follow();
    });
    this.#follow();
  }

  /** True if the message says whether a device is there, and nothing besides. */
  take({ topic, payload, retained }: Pick<IncomingMessage, 'topic' | 'payload' | 'retained'>): boolean {
    const probes = this.#byTopic.get(topic);
    if (probes === undefined) return false;
    const { register, listening, clock } = this.#options;
    const text = new TextDecoder().decode(payload.subarray(0, WORD_BYTES_MAX));
    if (this.#said.get(topic)?.payload !== text) {
      const nowMs = clock.nowMs();
      this.#said.set(topic, { payload: text, sinceMs: retained ? null : nowMs });
      listening.note(topic, payload, nowMs);
      for (const probe of probes) this.#tell(probe);
    }
    return register.directory().forTopic(topic).length === 0;
  }

  /** Is this a topic on which a device says whether it is there? */
  isTheirs(topic: string): boolean {
    return this.#byTopic.has(topic);
  }

  /** What a probe's device said last; null: nothing, or nothing that can be understood. */
  stateOf({ availability }: Pick<Probe, 'availability'>): Availability | null {
    const said = availability === null ? undefined : this.#said.get(availability.topic);
    return said === undefined || availability === null ? null : readAvailability(said.payload, availability);
  }

  #follow(): void {
    const { register, probes, listening } = this.#options;
    const known = register.probes();
    this.#byTopic = Map.groupBy(
      known.filter(({ availability }) => availability !== null),
      ({ availability }) => availability?.topic ?? '',
    );
    for (const topic of this.#said.keys()) if (!this.#byTopic.has(topic)) this.#said.delete(topic);
    const unsaid = new Set([...this.#byTopic.keys()].filter((topic) => !this.#said.has(topic)));
    if (unsaid.size > 0) {
      for (const { topic, sample, lastHeardAtMs } of listening.heardTopics()) {
        if (unsaid.has(topic)) this.#said.set(topic, { payload: sample, sinceMs: lastHeardAtMs });
      }
    }
    probes.allOnline();
    for (const probe of known) this.#tell(probe);
  }

  #tell(probe: Probe): void {
    const said = probe.availability === null ? undefined : this.#said.get(probe.availability.topic);
    const isOffline = this.stateOf(probe) === 'offline';
    this.#options.probes.setOffline(probe.probeId, isOffline ? { sinceMs: said?.sinceMs ?? null } : null);
  }
}

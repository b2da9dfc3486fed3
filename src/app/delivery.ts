import type * as contract from '../contract/index.ts';
import { type ClockWatch as Skew, skewMs, UNWATCHED, watchClock } from '../domain/clean/clock-skew.ts';
import type { GapMark } from '../domain/gap.ts';
import type { Clock } from '../ports/clock.ts';
import type { CounterJournal, GapJournal } from '../ports/journal.ts';
import type { BrokerWatch } from './broker-watch.ts';
import type { ProbeReading } from './decode.ts';
import { instant } from './present.ts';
import type { Health, Ledger } from './services.ts';

const ALIVE_COUNTER = 'alive-ms';
/** How often the service remembers that it runs (ms): a sudden end is known this exactly. */
const ALIVE_EVERY_MS = 30_000;
/** A shorter absence is no gap in any curve (ms). */
const ABSENCE_MS_MIN = 45_000;
/** Topics and probes that are followed; beyond, new ones are not. */
const FOLLOWED_MAX = 5_000;
/** So many waiting readings are a backlog. */
const BACKLOG_MIN = 5_000;
const RATE_TICKS = 10;
const GAPS_SHOWN = 100;

export interface DeliveryOptions {
  readonly clock: Clock;
  readonly journal: CounterJournal & GapJournal;
  readonly brokerWatch: BrokerWatch;
  /** Null for the embedded broker. */
  readonly brokerElsewhere: boolean;
}

/** What the report takes from the other parts. */
export interface DeliveryParts {
  readonly ledger: Ledger;
  readonly health: Health;
  readonly heldMessages: number;
  readonly probes: readonly { readonly probeId: string; readonly topic: string }[];
}

/** Knows how surely readings come in, and notes when they did not. */
export class Delivery {
  readonly #options: DeliveryOptions;
  /** Least quality of service at which each topic was heard last. */
  readonly #qosOf = new Map<string, number>();
  readonly #skewOf = new Map<string, Skew>();
  #started = false;
  #aliveAtMs = Number.NEGATIVE_INFINITY;
  /** Stored and duplicates at the newest ticks. */
  #done: number[] = [];

  constructor(options: DeliveryOptions) {
    this.#options = options;
  }

  heard(topic: string, qos: number): void {
    if (this.#qosOf.has(topic) || this.#qosOf.size < FOLLOWED_MAX) this.#qosOf.set(topic, qos);
  }

  /** Follows the clocks of devices that tell the time. */
  readings(readings: readonly ProbeReading[]): void {
    for (const { reading, live } of readings) {
      const { probeId, timeFrom, measuredAtMs, receivedAtMs } = reading;
      if (timeFrom !== 'device' || !live) continue;
      const watch = this.#skewOf.get(probeId);
      if (watch === undefined && this.#skewOf.size >= FOLLOWED_MAX) continue;
      this.#skewOf.set(probeId, watchClock(watch ?? UNWATCHED, measuredAtMs, receivedAtMs));
    }
  }

  /** Once a second while the machine's clock is believed. */
  tick(ledger: Ledger): void {
    const { clock, journal, brokerWatch } = this.#options;
    const nowMs = clock.nowMs();
    this.#done = [...this.#done.slice(-RATE_TICKS), ledger.stored + ledger.duplicates];
    if (!this.#started) this.#noteAbsence(nowMs);
    // A clock that was set back counts anew.
    if (Math.abs(nowMs - this.#aliveAtMs) < ALIVE_EVERY_MS) return;
    this.#aliveAtMs = nowMs;
    journal.saveCounter(ALIVE_COUNTER, nowMs);
    brokerWatch.keepLink();
  }

  #noteAbsence(nowMs: number): void {
    const { journal } = this.#options;
    this.#started = true;
    const aliveMs = journal.counter(ALIVE_COUNTER);
    if (aliveMs === null || nowMs - aliveMs < ABSENCE_MS_MIN) return;
    journal.saveGapMark({ cause: 'service-down', fromMs: aliveMs, toMs: nowMs });
  }

  stop(): void {
    if (!this.#started) return;
    this.#options.journal.saveCounter(ALIVE_COUNTER, this.#options.clock.nowMs());
    this.#options.brokerWatch.keepLink();
  }

  marks(fromMs: number, toMs: number): GapMark[] {
    return this.#options.journal.gapMarks(fromMs, toMs);
  }

  /** How many gaps of each cause were noted. */
  gapCounts(): ReadonlyMap<string, number> {
    return this.#options.journal.gapCounts();
  }

  report(parts: DeliveryParts): contract.Delivery {
    const { brokerWatch, brokerElsewhere, journal } = this.#options;
    return {
      ledger: parts.ledger,
      catchUp: this.#catchUp(parts.ledger.waiting),
      clock: parts.health.clock,
      heldMessages: parts.heldMessages,
      broker: {
        kind: brokerElsewhere ? 'elsewhere' : 'embedded',
        version: brokerElsewhere ? brokerWatch.version() : null,
        trouble: parts.health.broker,
        audit: brokerElsewhere ? brokerWatch.audit() : [],
      },
      probes: parts.probes.map(({ probeId, topic }) => this.#probe(probeId, topic)),
      gaps: journal
        .newestGapMarks(GAPS_SHOWN)
        .map(({ cause, fromMs, toMs }) => ({ from: instant(fromMs), to: instant(toMs), cause })),
    };
  }

  #catchUp(waiting: number): contract.Delivery['catchUp'] {
    if (waiting < BACKLOG_MIN) return null;
    const [first = 0, last = 0] = [this.#done[0], this.#done.at(-1)];
    const perSecond = this.#done.length < 2 ? 0 : Math.max(0, (last - first) / (this.#done.length - 1));
    return { waiting, perSecond, secondsLeft: perSecond > 0 ? Math.ceil(waiting / perSecond) : null };
  }

  #probe(probeId: string, topic: string): contract.Delivery['probes'][number] {
    const qos = this.#qosOf.get(topic);
    const offMs = skewMs(this.#skewOf.get(probeId) ?? UNWATCHED);
    const advice = [
      qos === 0 ? 'Let it publish at QoS 1: what it sends while the connection is away is lost.' : '',
      offMs === null ? '' : 'Set the clock of the device: all its readings are filed at the wrong time.',
    ];
    return {
      probeId,
      topic,
      delivery: qos === undefined ? 'unknown' : qos === 0 ? 'can-be-lost' : 'answered',
      clockOffS: offMs === null ? null : Math.round(offMs / 1000),
      advice: advice.filter((one) => one !== '').join(' '),
    };
  }
}

import { type AuditFinding, auditBroker, type BrokerFacts } from '../domain/broker-audit.ts';
import type { BrokerNews } from '../ports/broker.ts';
import type { Clock } from '../ports/clock.ts';
import type { CounterJournal, GapJournal } from '../ports/journal.ts';
import type { Log } from '../ports/log.ts';

const LINKED_COUNTER = 'broker-linked-ms';
const DROPPED_COUNTER = 'broker-dropped';
/** A broker tells its counters this often (ms): a change lies at most so far back. */
const COUNTERS_EVERY_MS = 11_000;

/** Follows what a broker elsewhere shows of itself: notes what it lost, and says what to change. */
export class BrokerWatch {
  readonly #clock: Clock;
  readonly #journal: CounterJournal & GapJournal;
  readonly #log: Log;
  #connectedAtMs: number | null = null;
  #facts: BrokerFacts;

  constructor(clock: Clock, journal: CounterJournal & GapJournal, log: Log) {
    this.#clock = clock;
    this.#journal = journal;
    this.#log = log;
    const leftAtMs = journal.counter(LINKED_COUNTER);
    this.#facts = {
      version: null,
      sessionResumed: null,
      wasKnown: leftAtMs !== null,
      leftAtMs,
      startedAtMs: null,
      droppedTotal: null,
      droppedSeen: 0,
      grantedQos: null,
      anonymousAllowed: null,
    };
  }

  hear(news: BrokerNews): void {
    const nowMs = this.#clock.nowMs();
    switch (news.kind) {
      case 'connected':
        this.#connected(news.sessionResumed, nowMs);
        break;
      case 'disconnected':
        this.keepLink();
        this.#connectedAtMs = null;
        break;
      case 'granted':
        this.#facts = { ...this.#facts, grantedQos: news.qos };
        break;
      case 'dropped':
        this.#dropped(news.total, nowMs);
        break;
      case 'uptime':
        this.#facts = { ...this.#facts, startedAtMs: nowMs - news.seconds * 1000 };
        break;
      case 'version':
        this.#facts = { ...this.#facts, version: news.text };
        break;
      case 'anonymous':
        this.#facts = { ...this.#facts, anonymousAllowed: news.isAllowed };
        break;
    }
  }

  /** While connected: remembers that we are, for after a sudden end. */
  keepLink(): void {
    if (this.#connectedAtMs === null) return;
    const nowMs = this.#clock.nowMs();
    this.#keep(() => this.#journal.saveCounter(LINKED_COUNTER, nowMs));
  }

  /** News come whenever they do, on a full disk too: what cannot be kept must not end the service. */
  #keep(save: () => void): void {
    try {
      save();
    } catch (error) {
      this.#log.warn(`what the broker showed cannot be kept: ${(error as Error).message}`);
    }
  }

  version(): string | null {
    return this.#facts.version;
  }

  audit(): AuditFinding[] {
    return auditBroker(this.#facts);
  }

  #connected(sessionResumed: boolean, nowMs: number): void {
    const leftAtMs = this.#journal.counter(LINKED_COUNTER);
    const wasKnown = leftAtMs !== null;
    this.#facts = { ...this.#facts, sessionResumed, wasKnown, leftAtMs, startedAtMs: null };
    this.#connectedAtMs = nowMs;
    if (wasKnown && !sessionResumed && leftAtMs < nowMs) {
      this.#keep(() => this.#journal.saveGapMark({ cause: 'session-lost', fromMs: leftAtMs, toMs: nowMs }));
      this.#log.warn(
        'the broker had forgotten our session: what it took while we were away is lost; see /api/v1/delivery',
      );
    }
    this.keepLink();
  }

  #dropped(total: number, nowMs: number): void {
    const known = this.#journal.counter(DROPPED_COUNTER);
    // A smaller number: the broker was started again and counts anew.
    const more = known === null ? 0 : total >= known ? total - known : total;
    if (known !== total) this.#keep(() => this.#journal.saveCounter(DROPPED_COUNTER, total));
    this.#facts = { ...this.#facts, droppedTotal: total, droppedSeen: this.#facts.droppedSeen + more };
    if (more === 0) return;
    const justConnected = this.#connectedAtMs === null || nowMs - this.#connectedAtMs < COUNTERS_EVERY_MS;
    const sinceMs = justConnected ? (this.#facts.leftAtMs ?? nowMs) : nowMs;
    const fromMs = Math.min(sinceMs, nowMs - COUNTERS_EVERY_MS);
    this.#keep(() => this.#journal.saveGapMark({ cause: 'broker-dropped', fromMs, toMs: nowMs }));
    this.#log.warn(`the broker threw away ${more} messages; see /api/v1/delivery`);
  }
}

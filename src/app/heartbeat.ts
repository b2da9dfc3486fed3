import type * as contract from '../contract/index.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { Outgoing } from '../ports/outgoing.ts';
import { instantOrNull } from './present.ts';

/** After the start everything gets a moment to find its feet (ms). */
const FIRST_MS = 5000;

export interface HeartbeatOptions {
  readonly clock: Clock;
  readonly log: Log;
  readonly outgoing: Outgoing;
  /** Null if the whole way from a probe to a person works; else what does not. */
  readonly round: () => Promise<string | null>;
  readonly url: string;
  readonly everyMs: number;
}

/** What is known where nobody set a watcher up. */
export const NO_HEARTBEAT: contract.AlertHealth['heartbeat'] = {
  state: 'not-set',
  everyMin: null,
  lastSentAt: null,
  trouble: null,
};

/**
 * Tells a watcher elsewhere that all is well, and nothing when it is not: who watches for silence learns of a dead machine
 * as of a full disk.
 */
export class Heartbeat {
  readonly #options: HeartbeatOptions;
  #stopTimer: StopTimer = () => {};
  #isRunning = false;
  /** What was logged last, so that the same trouble is logged once. */
  #said = '';
  #sentAtMs: number | null = null;
  #tried = false;

  constructor(options: HeartbeatOptions) {
    this.#options = options;
  }

  start(): void {
    const { clock, everyMs } = this.#options;
    const beat = () => void this.beat();
    const stopFirst = clock.after(FIRST_MS, beat);
    const stopOthers = clock.every(everyMs, beat);
    this.#stopTimer = () => {
      stopFirst();
      stopOthers();
    };
  }

  stop(): void {
    this.#stopTimer();
  }

  /** How it goes: what was said last, and when the watcher last took one. */
  report(): contract.AlertHealth['heartbeat'] {
    return {
      state: !this.#tried ? 'untried' : this.#said === '' ? 'works' : 'failing',
      everyMin: this.#options.everyMs / 60_000,
      lastSentAt: instantOrNull(this.#sentAtMs),
      trouble: this.#said === '' ? null : this.#said,
    };
  }

  async beat(): Promise<void> {
    if (this.#isRunning) return;
    this.#isRunning = true;
    try {
      const trouble = await this.#options.round();
      if (trouble !== null) return this.#say(`no heartbeat is sent: ${trouble}`);
      const request = { method: 'GET', url: this.#options.url, headers: {}, body: null, goneAt: [] } as const;
      const { kind, answer } = await this.#options.outgoing.send(request);
      if (kind === 'taken') this.#sentAtMs = this.#options.clock.nowMs();
      this.#say(kind === 'taken' ? '' : `the heartbeat is not taken: ${answer}`);
    } catch (error) {
      this.#say(`no heartbeat is sent: ${(error as Error).message}`);
    } finally {
      this.#isRunning = false;
    }
  }

  #say(trouble: string): void {
    this.#tried = true;
    if (trouble === this.#said) return;
    if (trouble !== '') this.#options.log.warn(trouble);
    else this.#options.log.info('heartbeats are sent again');
    this.#said = trouble;
  }
}

import {
  BY_ACCOUNT,
  BY_ADDRESS,
  type Failures,
  oneMore,
  type ThrottleRule,
  waitMs,
} from '../domain/access/throttle.ts';
import type { Clock } from '../ports/clock.ts';
import { type Refusal, refuse } from './outcome.ts';

/** Addresses remembered at once; the one that failed longest ago is forgotten first. */
const REMEMBERED_MAX = 2000;

/** Who failed to come in, and how long they wait. It lives in memory: a restart is rarer than guesses are fast. */
export class Attempts {
  readonly #clock: Pick<Clock, 'monotonicMs'>;
  readonly #addresses = new Map<string, Failures>();
  readonly #accounts = new Map<string, Failures>();

  constructor(clock: Pick<Clock, 'monotonicMs'>) {
    this.#clock = clock;
  }

  /**
   * Begins an attempt: counted as failed until `succeeded` is called, so that many at once are as slow as one after the other.
   * A refusal if it must wait; then nothing is counted.
   */
  begin(address: string, account: string): Refusal | { readonly ok: true; readonly succeeded: () => void } {
    const nowMs = this.#clock.monotonicMs();
    // By account as well: whoever knows one passphrase must not wipe out their guesses at another.
    const network = `${networkOf(address)} ${account}`;
    const pauseMs = Math.max(
      waitMs(this.#addresses.get(network), BY_ADDRESS, nowMs),
      waitMs(this.#accounts.get(account), BY_ACCOUNT, nowMs),
    );
    if (pauseMs > 0) {
      const retryAfterS = Math.ceil(pauseMs / 1000);
      return {
        ...refuse('too-many-tries', `Too many tries failed. Wait ${retryAfterS} s, then try again.`),
        retryAfterS,
      };
    }
    count(this.#addresses, network, BY_ADDRESS, nowMs);
    count(this.#accounts, account, BY_ACCOUNT, nowMs);
    return {
      ok: true,
      succeeded: () => {
        this.#addresses.delete(network);
        this.#accounts.delete(account);
      },
    };
  }
}

function count(all: Map<string, Failures>, key: string, rule: ThrottleRule, nowMs: number): void {
  const next = oneMore(all.get(key), rule, nowMs);
  all.delete(key);
  all.set(key, next);
  const oldest = all.keys().next().value;
  if (all.size > REMEMBERED_MAX && oldest !== undefined) all.delete(oldest);
}

/** Whoever has an IPv6 address has its whole /64. */
function networkOf(address: string): string {
  return address.includes(':') && !address.includes('.') ? address.split(':').slice(0, 4).join(':') : address;
}

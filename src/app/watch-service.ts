import { serviceTroubleWords, serviceWellWords } from '../alerts/service-words.ts';
import type { WatchBasis } from './watch-base.ts';

/** How the parts of the service are: null, or what is wrong. */
export interface PartTroubles {
  readonly broker: string | null;
  readonly clock?: string | null;
  /** Room on the disk of the data folder. */
  readonly disk?: string | null;
  readonly memory?: string | null;
  /** The nightly backup. */
  readonly backup?: string | null;
}

/** After a start parts of the service need a moment (ms). */
const GRACE_MS = 3 * 60_000;
/** The wall clock went otherwise than time by more than this between two ticks (ms). */
const LEAP_MS = 30_000;
/** Time went on without us by more than this, as when the machine sleeps (ms). */
const SLEEP_MS = 5 * 60_000;

/** Watches the service itself, and keeps a time that never runs back. */
export class ServiceWatch {
  readonly #basis: WatchBasis;
  readonly #health: () => PartTroubles;
  readonly #startedMs: number;
  #wallMs: number;
  #monotonicMs: number;
  #atMs: number;

  constructor(basis: WatchBasis, health: () => PartTroubles) {
    const { clock } = basis;
    this.#basis = basis;
    this.#health = health;
    this.#startedMs = clock.monotonicMs();
    this.#monotonicMs = clock.monotonicMs();
    this.#wallMs = clock.nowMs();
    this.#atMs = clock.nowMs();
  }

  /** The time of samples of what goes on now: it goes on while the wall clock is set back. */
  atMs(): number {
    const { clock } = this.#basis;
    // Whole milliseconds, as all times that are kept.
    return Math.max(clock.nowMs(), Math.floor(this.#atMs + clock.monotonicMs() - this.#monotonicMs));
  }

  /** Once a tick. True if time went on without us, or the clock was set: what was not heard meanwhile says nothing. */
  tick(): boolean {
    const { clock } = this.#basis;
    const atMs = this.atMs();
    const [wallMs, monotonicMs] = [clock.nowMs(), clock.monotonicMs()];
    const passedMs = monotonicMs - this.#monotonicMs;
    const byMs = wallMs - this.#wallMs - passedMs;
    [this.#atMs, this.#wallMs, this.#monotonicMs] = [atMs, wallMs, monotonicMs];
    // Of the disk and the store the service speaks itself.
    const { broker, clock: wrongClock = null, disk = null, memory = null, backup = null } = this.#health();
    const troubles = { broker, clock: wrongClock, disk, memory, backup };
    for (const [part, trouble] of Object.entries(troubles)) this.#sample(part, trouble, atMs);
    return Math.abs(byMs) > LEAP_MS || passedMs > SLEEP_MS;
  }

  #sample(part: string, trouble: string | null, atMs: number): void {
    const { desk } = this.#basis;
    const common = { target: part, kegId: null, atMs } as const;
    const isEarly = this.#monotonicMs - this.#startedMs < GRACE_MS;
    desk.sample({
      ...common,
      rule: 'service-trouble',
      finding: trouble === null ? 'over' : isEarly ? 'between' : 'holds',
      words: serviceTroubleWords(part, trouble ?? ''),
      endWords: serviceWellWords(part),
    });
  }
}

import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
import type { Reading } from '../../src/domain/reading.ts';
import type { AppendOutcome } from '../../src/ports/reading-store.ts';

/** A reading store that can be told to fail or to keep everybody waiting. */
export class FlakyStore extends MemoryReadingStore {
  /** What appending fails with, while it is set. */
  failure: Error | null = null;
  /** Times that were tried, failed ones included. */
  attempts = 0;
  /** Every batch that was stored, in order. */
  readonly batches: (readonly Reading[])[] = [];
  #gate: Promise<void> | null = null;

  /** Appending waits until the returned function is called. */
  hold(): () => void {
    let release: () => void = () => undefined;
    this.#gate = new Promise((resolve) => {
      release = resolve;
    });
    return () => {
      this.#gate = null;
      release();
    };
  }

  override async append(readings: readonly Reading[]): Promise<AppendOutcome> {
    this.attempts += 1;
    await this.#gate;
    if (this.failure !== null) throw this.failure;
    this.batches.push(readings);
    return super.append(readings);
  }

  /** Values in the order in which they were stored. */
  values(): number[] {
    return this.batches.flat().map(({ value }) => value);
  }
}

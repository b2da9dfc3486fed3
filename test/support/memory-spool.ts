import type { Spool, SpoolGroup, SpoolPosition, SpoolRecord } from '../../src/ports/spool.ts';

/** A spool that keeps records in a list: offsets count records. Its failures and its slowness are told to it. */
export class MemorySpool implements Spool {
  readonly records: SpoolRecord[] = [];
  /** Every checkpoint that was saved, in order. */
  readonly checkpoints: SpoolPosition[] = [];
  /** What appending, reading or saving fails with, while it is set. */
  appendError: Error | null = null;
  readError: Error | null = null;
  checkpointError: Error | null = null;
  reads = 0;
  retries = 0;
  #onGroup: (group: SpoolGroup) => void = () => undefined;
  #checkpoint: SpoolPosition = { segment: 1, offset: 0 };
  #gate: Promise<void> | null = null;

  async open(onGroup: (group: SpoolGroup) => void): Promise<void> {
    this.#onGroup = onGroup;
  }

  append(record: SpoolRecord, done: (error: Error | null) => void): void {
    if (this.appendError !== null) {
      done(this.appendError);
      return;
    }
    this.commit([record]);
    done(null);
  }

  /** Commits records as one group. */
  commit(records: readonly SpoolRecord[]): void {
    this.records.push(...records);
    this.#onGroup({ records, end: this.end() });
  }

  /** Reading waits until the returned function is called; what it answers is as of when it was asked. */
  holdReads(): () => void {
    let release: () => void = () => undefined;
    this.#gate = new Promise((resolve) => {
      release = resolve;
    });
    return () => {
      this.#gate = null;
      release();
    };
  }

  async read(from: SpoolPosition, limit: number): Promise<SpoolGroup> {
    this.reads += 1;
    const until = Math.min(from.offset + limit, this.records.length);
    await this.#gate;
    if (this.readError !== null) throw this.readError;
    return { records: this.records.slice(from.offset, until), end: { segment: 1, offset: until } };
  }

  end(): SpoolPosition {
    return { segment: 1, offset: this.records.length };
  }

  checkpoint(): SpoolPosition {
    return this.#checkpoint;
  }

  async saveCheckpoint(position: SpoolPosition): Promise<void> {
    if (this.checkpointError !== null) throw this.checkpointError;
    this.#checkpoint = position;
    this.checkpoints.push(position);
  }

  trouble(): string | null {
    return this.appendError === null ? null : this.appendError.message;
  }

  async retry(): Promise<void> {
    this.retries += 1;
  }

  async close(): Promise<void> {}
}

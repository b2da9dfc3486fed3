import type { TimePolicy } from '../domain/sample.ts';

/** One message as it came, before anything was made of it. */
export interface SpoolRecord {
  readonly receivedAtMs: number;
  /** Where the machine's clock was not trusted: the line of times that `receivedAtMs` lies on. */
  readonly clockLine?: number;
  readonly topic: string;
  readonly payload: Uint8Array;
  readonly policy: TimePolicy;
  /** A retained message is a memory of the broker, not news. */
  readonly retained: boolean;
}

/** A place between two records. */
export interface SpoolPosition {
  readonly segment: number;
  readonly offset: number;
}

export interface SpoolGroup {
  readonly records: readonly SpoolRecord[];
  /** Behind the last of the records. */
  readonly end: SpoolPosition;
}

/**
 * Append-only log on the local disk between receiving and storing. What `append` reported done survives a power cut.
 */
export interface Spool {
  /** Opens, mends a torn end, and from then on hands every committed group to `onGroup`, in order. */
  open(onGroup: (group: SpoolGroup) => void): Promise<void>;
  /** Calls `done(null)` once the record is synced, after `onGroup`; or `done(error)` if it cannot be kept. */
  append(record: SpoolRecord, done: (error: Error | null) => void): void;
  /** Records from a position on, at most `limit`; fewer only at the end. Damaged stretches are passed over. */
  read(from: SpoolPosition, limit: number): Promise<SpoolGroup>;
  /** Behind the last committed record. */
  end(): SpoolPosition;
  /** Up to where the records are in the reading store. */
  checkpoint(): SpoolPosition;
  /** Remembers that records before `position` are stored, and lets go of files that hold only such. */
  saveCheckpoint(position: SpoolPosition): Promise<void>;
  /** Null while appending works; else what is wrong. */
  trouble(): string | null;
  /** While there is trouble: looks whether appending works again. Never rejects. */
  retry(): Promise<void>;
  close(): Promise<void>;
}

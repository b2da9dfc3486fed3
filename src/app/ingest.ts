import type { ProbeDirectory } from '../domain/probe.ts';
import type { Broker, IncomingMessage } from '../ports/broker.ts';
import type { Clock } from '../ports/clock.ts';
import type { PayloadDecoder } from '../ports/payload-decoder.ts';
import type { Spool, SpoolGroup, SpoolRecord } from '../ports/spool.ts';
import { type Decoded, decodeRecord, type ProbeReading } from './decode.ts';
import type { Listening } from './listening.ts';
import type { Ledger } from './services.ts';
import type { Writer } from './writer.ts';

export interface IngestOptions {
  readonly broker: Broker;
  readonly spool: Spool;
  readonly writer: Writer;
  readonly decoder: PayloadDecoder;
  readonly directory: () => ProbeDirectory;
  readonly listening: Listening;
  readonly clock: Clock;
  readonly accept: (readings: readonly ProbeReading[]) => void;
}

/** A message as a file of past readings holds it. */
export interface PastMessage {
  readonly topic: string;
  readonly payload: string;
}

/** Takes messages, keeps them safe, and hands what they mean to the monitor and the writer. */
export class Ingest {
  readonly #options: IngestOptions;
  #received = 0;
  #rejected = 0;

  constructor(options: IngestOptions) {
    this.#options = options;
  }

  /** Values since the start and what became of them: received = stored + duplicates + rejected + waiting. */
  ledger(): Ledger {
    const { stored, duplicates, refused } = this.#options.writer.counts();
    const rejected = this.#rejected + refused;
    const received = this.#received;
    return { received, stored, duplicates, rejected, waiting: received - stored - duplicates - rejected };
  }

  /** For the broker: `done` comes after the sync, and only then may the publisher be answered. */
  receive(message: IncomingMessage, done: (error: Error | null) => void): void {
    const { spool, clock } = this.#options;
    spool.append({ ...message, receivedAtMs: clock.nowMs(), policy: 'live' }, done);
  }

  /** Takes messages of the past, with the times that they name; resolves when they are safe. */
  async importPast(messages: readonly PastMessage[]): Promise<void> {
    const { spool, clock } = this.#options;
    const receivedAtMs = clock.nowMs();
    const append = ({ topic, payload }: PastMessage) =>
      new Promise<void>((resolve, reject) => {
        const record = {
          topic,
          payload: Buffer.from(payload),
          receivedAtMs,
          policy: 'import',
          retained: false,
        } as const;
        spool.append(record, (error) => (error === null ? resolve() : reject(error)));
      });
    await Promise.all(messages.map(append));
  }

  /** What a committed group means. */
  onGroup(group: SpoolGroup): void {
    const { listening, writer, accept } = this.#options;
    const readings: ProbeReading[] = [];
    for (const record of group.records) {
      const decoded = this.#decode(record);
      readings.push(...decoded.readings);
      this.#received += decoded.readings.length + decoded.rejections.length;
      this.#rejected += decoded.rejections.length;
      if (decoded.rejections.length > 0) listening.reject(record, decoded.rejections, decoded.unassigned);
    }
    writer.enqueue(
      group,
      readings.map(({ reading }) => reading),
    );
    accept(readings);
  }

  /** Feeds the monitor with what the spool still holds from before the start; the writer reads it by itself. */
  async recover(): Promise<void> {
    const { spool, accept } = this.#options;
    const end = spool.end();
    for (let at = spool.checkpoint(); at.segment < end.segment || at.offset < end.offset; ) {
      const group = await spool.read(at, 1_000);
      const readings = group.records.flatMap((record) => this.#decode(record).readings);
      this.#received += readings.length;
      accept(readings);
      if (group.records.length === 0) break;
      at = group.end;
    }
  }

  /** Readings of a spooled message, for the writer. */
  readingsOf(record: SpoolRecord) {
    return this.#decode(record).readings.map(({ reading }) => reading);
  }

  #decode(record: SpoolRecord): Decoded {
    return decodeRecord(record, this.#options.directory(), this.#options.decoder);
  }
}

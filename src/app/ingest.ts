import type { ProbeDirectory } from '../domain/probe.ts';
import { isOwnTopic } from '../domain/topic.ts';
import type { Broker, IncomingMessage } from '../ports/broker.ts';
import type { Clock } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
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
  readonly log: Log;
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
    if (isOwnTopic(message.topic)) {
      done(null);
      return;
    }
    const { topic, payload, retained } = message;
    spool.append({ topic, payload, retained, receivedAtMs: clock.nowMs(), policy: 'live' }, done);
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
    const { listening, writer } = this.#options;
    const readings: ProbeReading[] = [];
    for (const record of group.records) {
      const decoded = this.#decode(record);
      readings.push(...decoded.readings);
      this.#received += decoded.readings.length + decoded.rejections.length;
      this.#rejected += decoded.rejections.length;
      if (decoded.rejections.length > 0 || decoded.unassigned) {
        listening.reject(record, decoded.rejections, decoded.unassigned);
      }
    }
    writer.enqueue(
      group,
      readings.map(({ reading }) => reading),
    );
    this.#show(readings);
  }

  /** Feeds the monitor with what the spool still holds from before the start; the writer reads it by itself. */
  async recover(): Promise<void> {
    const { spool } = this.#options;
    const end = spool.end();
    for (let at = spool.checkpoint(); at.segment < end.segment || at.offset < end.offset; ) {
      const group = await spool.read(at, 1_000);
      const readings = group.records.flatMap((record) => this.#decode(record).readings);
      this.#received += readings.length;
      this.#show(readings);
      if (group.records.length === 0) break;
      at = group.end;
    }
  }

  /** Readings of a spooled message, for the writer. */
  readingsOf(record: SpoolRecord) {
    return this.#decode(record).readings.map(({ reading }) => reading);
  }

  /** A message that we trip over is our mistake; it must not keep others from being read. */
  #decode(record: SpoolRecord): Decoded {
    try {
      return decodeRecord(record, this.#options.directory(), this.#options.decoder);
    } catch (error) {
      const reason = `the service could not read this: ${(error as Error).message}`;
      return { readings: [], rejections: [reason], unassigned: false };
    }
  }

  /** The live view failing must not stop readings from being kept. */
  #show(readings: readonly ProbeReading[]): void {
    try {
      this.#options.accept(readings);
    } catch (error) {
      this.#options.log.error(`new readings are kept but cannot be shown: ${(error as Error).stack ?? String(error)}`);
    }
  }
}

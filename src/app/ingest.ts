import type { ProbeDirectory } from '../domain/probe.ts';
import { isOwnTopic } from '../domain/topic.ts';
import type { Broker, IncomingMessage } from '../ports/broker.ts';
import type { Clock } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { PayloadDecoder } from '../ports/payload-decoder.ts';
import type { RefusedReading } from '../ports/reading-store.ts';
import type { Spool, SpoolGroup, SpoolPosition, SpoolRecord } from '../ports/spool.ts';
import type { ClockWatch, Stamp } from './clock-watch.ts';
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
  /** Refuses what would be too much. */
  readonly admit?: (decoded: Decoded) => Decoded;
  /** Hears of every message before it is kept. */
  readonly heard?: (topic: string, qos: number) => void;
  /** Takes what is no reading; true if the message needs not be kept. */
  readonly aside?: (message: IncomingMessage) => boolean;
  /** Times of receipt where the machine's clock may be wrong; left out where it is trusted. */
  readonly stamps?: Pick<ClockWatch, 'stamp' | 'timeOf' | 'isTrusted'>;
}

const TIME_UNKNOWN =
  'it came while the clock of this machine was not set, and the service was started again before it was: its time is unknown';
/** Messages read at once from the spool. */
const READ_RECORDS = 1_000;

/** A message as a file of past readings holds it. */
export interface PastMessage {
  readonly topic: string;
  readonly payload: string;
}

/** Longer payloads are not even spooled (bytes): no probe sends them, and a burst of them fills a disk. */
export const PAYLOAD_BYTES_KEPT_MAX = 256 * 1024;

/** Takes messages, keeps them safe, and hands what they mean to the monitor and the writer. */
export class Ingest {
  readonly #options: IngestOptions;
  #received = 0;
  #rejected = 0;
  /** Behind the last group that was understood. */
  #understood: SpoolPosition = { segment: 1, offset: 0 };
  /** True while messages wait in the spool for a clock that tells their time. */
  #holding = false;
  #heldMessages = 0;

  constructor(options: IngestOptions) {
    this.#options = options;
  }

  /** Values since the start and what became of them: received = stored + duplicates + rejected + waiting. */
  ledger(): Ledger {
    const { writer } = this.#options;
    const { stored, duplicates, refused } = writer.counts();
    return {
      received: this.#received + writer.unannounced(),
      stored,
      duplicates,
      rejected: this.#rejected + refused,
      waiting: writer.waiting(),
    };
  }

  /** Messages that wait, safe in the spool, until the machine's clock can be trusted. */
  heldMessages(): number {
    return this.#heldMessages;
  }

  /** For the broker: `done` comes after the sync, and only then may the publisher be answered. */
  receive(message: IncomingMessage, done: (error: Error | null) => void): void {
    const { spool, clock, stamps, heard, aside } = this.#options;
    if (isOwnTopic(message.topic)) {
      done(null);
      return;
    }
    const { topic, payload, retained, qos } = message;
    heard?.(topic, qos);
    if (aside?.(message) === true) {
      done(null);
      return;
    }
    if (payload.byteLength > PAYLOAD_BYTES_KEPT_MAX) {
      // Never kept, so it is answered at once: a broker elsewhere would send it again for ever.
      this.#received += 1;
      this.#rejected += 1;
      const record = { topic, payload, retained, policy: 'live', receivedAtMs: clock.nowMs() } as const;
      const reason = `the payload has ${payload.byteLength} bytes; more than ${PAYLOAD_BYTES_KEPT_MAX} are not taken`;
      this.#options.listening.reject(record, [reason], false);
      done(null);
      return;
    }
    let stamp: Stamp;
    try {
      stamp = stamps?.stamp() ?? { receivedAtMs: clock.nowMs() };
    } catch (error) {
      // Without a time that can be told later the message is not kept, so it is not answered either.
      done(error as Error);
      return;
    }
    spool.append({ topic, payload, retained, policy: 'live', ...stamp }, done);
  }

  /** Takes messages of the past, with the times that they name; resolves when they are safe. */
  async importPast(messages: readonly PastMessage[]): Promise<void> {
    const { spool, clock, stamps } = this.#options;
    if (stamps?.isTrusted() === false)
      throw new Error('the clock of this machine is not set; set it, then import again');
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
    const { writer } = this.#options;
    if (this.#holding || group.records.some((record) => this.#timeOf(record) === null)) {
      // In order: what comes after a held message waits with it.
      this.#holding = true;
      this.#heldMessages += group.records.length;
      writer.hold();
      return;
    }
    const readings = this.#understand(group);
    writer.enqueue(
      group,
      readings.map(({ reading }) => reading),
    );
    this.#show(readings);
  }

  /** Understands what was held: the clock tells times now. */
  async release(): Promise<void> {
    const { spool, writer } = this.#options;
    while (this.#holding) {
      const group = await spool.read(this.#understood, READ_RECORDS);
      const readings = this.#understand(group);
      writer.announce(readings.length);
      this.#heldMessages = Math.max(0, this.#heldMessages - group.records.length);
      this.#show(readings);
      // Nothing was committed meanwhile: from here on groups are understood as they come.
      if (samePosition(this.#understood, spool.end())) this.#holding = false;
    }
    // Damage in the spool may have cost some of those that were counted.
    this.#heldMessages = 0;
    writer.release();
  }

  #understand(group: SpoolGroup): ProbeReading[] {
    const { listening } = this.#options;
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
    this.#understood = group.end;
    return readings;
  }

  /** Readings that the store will never take. */
  refuse(refused: readonly RefusedReading[]): void {
    const { directory, listening } = this.#options;
    for (const { reading, reason } of refused) {
      const topic = directory().byId(reading.probeId)?.topic ?? reading.probeId;
      listening.refuse(topic, reading.receivedAtMs, reason, String(reading.value));
    }
  }

  /** Feeds the monitor with what the spool still holds from before the start; the writer reads it by itself. */
  async recover(): Promise<void> {
    const { spool, writer } = this.#options;
    const end = spool.end();
    this.#understood = end;
    for (let at = spool.checkpoint(); at.segment < end.segment || at.offset < end.offset; ) {
      const group = await spool.read(at, READ_RECORDS);
      // What was refused when it came is listed already; that a time cannot be told any more is news.
      for (const record of group.records.filter((one) => this.#timeOf(one) === null)) {
        this.#received += 1;
        this.#rejected += 1;
        this.#options.listening.reject(record, [TIME_UNKNOWN], false);
      }
      const readings = group.records.flatMap((record) => this.#decode(record).readings);
      this.#received += readings.length;
      writer.announce(readings.length);
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
      const receivedAtMs = this.#timeOf(record);
      if (receivedAtMs === null) return { readings: [], rejections: [TIME_UNKNOWN], unassigned: false };
      const told = receivedAtMs === record.receivedAtMs ? record : { ...record, receivedAtMs };
      const decoded = decodeRecord(told, this.#options.directory(), this.#options.decoder);
      return this.#options.admit?.(decoded) ?? decoded;
    } catch (error) {
      const reason = `the service could not read this: ${(error as Error).message}`;
      return { readings: [], rejections: [reason], unassigned: false };
    }
  }

  #timeOf(record: SpoolRecord): number | null {
    const { stamps } = this.#options;
    return stamps === undefined ? record.receivedAtMs : stamps.timeOf(record);
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

function samePosition(a: SpoolPosition, b: SpoolPosition): boolean {
  return a.segment === b.segment && a.offset === b.offset;
}

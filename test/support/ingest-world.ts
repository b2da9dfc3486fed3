import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { ClockWatch } from '../../src/app/clock-watch.ts';
import { Ingest } from '../../src/app/ingest.ts';
import { Listening } from '../../src/app/listening.ts';
import { Writer } from '../../src/app/writer.ts';
import { probeDirectory } from '../../src/domain/probe.ts';
import type { Reading } from '../../src/domain/reading.ts';
import { aProbe } from './builders.ts';
import type { FakeClock } from './fake-clock.ts';
import { FlakyStore } from './flaky-store.ts';
import { keptLog } from './kept-log.ts';
import { MemorySpool } from './memory-spool.ts';
import { NO_BROKER } from './no-broker.ts';
import { settle, until } from './until.ts';

interface Kept {
  readonly spool: MemorySpool;
  readonly store: FlakyStore;
  readonly journal: SqliteJournal;
}

/** What takes messages and brings their readings into a store, on a clock that is told the time. */
export class IngestWorld {
  readonly clock: FakeClock;
  #directory = probeDirectory([]);
  readonly spool: MemorySpool;
  readonly store: FlakyStore;
  readonly journal: SqliteJournal;
  readonly listening: Listening;
  readonly clockWatch: ClockWatch;
  readonly writer: Writer;
  readonly ingest: Ingest;
  /** Readings in the order in which the live view heard them. */
  readonly shown: Reading[] = [];

  private constructor(clock: FakeClock, { spool, store, journal }: Kept) {
    const { log } = keptLog();
    this.clock = clock;
    this.spool = spool;
    this.store = store;
    this.journal = journal;
    this.listening = new Listening(journal);
    this.clockWatch = new ClockWatch(clock, journal, log);
    this.writer = new Writer({
      spool,
      store,
      clock,
      log,
      decode: (record) => this.ingest.readingsOf(record),
      refuse: (refused) => this.ingest.refuse(refused),
    });
    this.ingest = new Ingest({
      broker: NO_BROKER,
      spool,
      writer: this.writer,
      decoder: jsonPayloadDecoder,
      directory: () => this.#directory,
      listening: this.listening,
      clock,
      log,
      accept: (readings) => this.shown.push(...readings.map(({ reading }) => reading)),
      stamps: this.clockWatch,
    });
  }

  static async start(clock: FakeClock, kept?: Kept): Promise<IngestWorld> {
    const fresh = () => ({
      spool: new MemorySpool(),
      store: new FlakyStore(),
      journal: new SqliteJournal(openCatalogueFile(':memory:')),
    });
    const world = new IngestWorld(clock, kept ?? fresh());
    await world.store.open();
    await world.spool.open((group) => world.ingest.onGroup(group));
    world.clockWatch.start(null);
    await world.ingest.recover();
    world.writer.start();
    await settle(3);
    return world;
  }

  /** What is on disk stays. */
  restart(): Promise<IngestWorld> {
    return IngestWorld.start(this.clock, this);
  }

  /** Gives what the publisher was answered. */
  receive(topic: string, payload: string | Buffer): (Error | null)[] {
    const answers: (Error | null)[] = [];
    const message = { topic, payload: Buffer.from(payload), retained: false, qos: 1 } as const;
    this.ingest.receive(message, (error) => answers.push(error));
    return answers;
  }

  /** From now on several probes read a topic: each of its messages gives so many readings. */
  remap(topic: string, readers: number): void {
    const mapped = Array.from({ length: readers }, (_, n) =>
      aProbe('beer-temperature', { probeId: `reader-${n}`, topic }),
    );
    this.#directory = probeDirectory(mapped);
  }

  async tick(): Promise<void> {
    this.clockWatch.tick();
    if (this.clockWatch.isTrusted() && this.ingest.heldMessages() > 0) await this.ingest.release();
  }

  /** Nothing that may be stored waits any more. */
  async quiet(): Promise<void> {
    await until('nothing waits', () => this.ingest.ledger().waiting === 0);
    await settle(3);
  }

  async stop(): Promise<void> {
    await this.writer.stop();
  }
}

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { jsonPayloadDecoder } from '../../src/adapters/payload/json-payload-decoder.ts';
import { openCatalogueFile, SqliteCatalogue } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteFillBook } from '../../src/adapters/sqlite/sqlite-fill-book.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { SqlitePlanStore } from '../../src/adapters/sqlite/sqlite-plan-store.ts';
import { SqliteReadingStore } from '../../src/adapters/sqlite/sqlite-reading-store.ts';
import { decodeRecord } from '../../src/app/decode.ts';
import { KegChanges } from '../../src/app/keg-changes.ts';
import { Listening } from '../../src/app/listening.ts';
import { LiveProbes } from '../../src/app/live-probes.ts';
import { PlaceChanges } from '../../src/app/place-changes.ts';
import { probeParts } from '../../src/app/probe-parts.ts';
import { Register } from '../../src/app/register.ts';
import type { CommandIo } from '../../src/cli/command.ts';
import type { Reading } from '../../src/domain/reading.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { recordedIo } from './command-io.ts';

/** A data folder as a service leaves it that heard messages and took entries. */
export interface KeptFolder {
  readonly path: string;
  readonly register: Register;
  readonly store: SqliteReadingStore;
  readonly kegs: KegChanges;
  readonly places: PlaceChanges;
  readonly probes: ReturnType<typeof probeParts>['probeChanges'];
  readonly book: SqliteFillBook;
  readonly plans: SqlitePlanStore;
  readonly clock: FakeClock;
  /** A message comes in at the clock's time. */
  hear(topic: string, payload: string): void;
  /** Stores what was heard. */
  flush(): Promise<void>;
  close(): Promise<void>;
}

export async function keptFolder(path: string, nowMs: number): Promise<KeptFolder> {
  mkdirSync(path, { recursive: true });
  const database = openCatalogueFile(join(path, 'catalogue.sqlite'));
  const register = new Register(new SqliteCatalogue(database), null);
  const store = new SqliteReadingStore({ path: join(path, 'readings.sqlite') });
  await store.open();
  const clock = new FakeClock(nowMs);
  let ids = 0;
  const waiting: Reading[] = [];
  return {
    path,
    register,
    store,
    clock,
    book: new SqliteFillBook(database),
    plans: new SqlitePlanStore(database),
    kegs: new KegChanges(register, clock, () => {
      ids += 1;
      return `entry-${ids}`;
    }),
    places: new PlaceChanges(register),
    probes: probeParts({
      register,
      probes: LiveProbes.following(register),
      listening: new Listening(new SqliteJournal(database)),
      clock,
    }).probeChanges,
    hear: (topic, payload) => {
      const record = {
        topic,
        payload: Buffer.from(payload),
        receivedAtMs: clock.nowMs(),
        retained: false,
        policy: 'live',
      } as const;
      const { readings } = decodeRecord(record, register.directory(), jsonPayloadDecoder);
      waiting.push(...readings.map(({ reading }) => reading));
    },
    flush: async () => {
      await store.append(waiting.splice(0));
    },
    close: async () => {
      await store.close();
      database.close();
    },
  };
}

/** Runs a command on a data folder and gives what it said. */
export async function ran(
  command: (args: readonly string[], io: CommandIo) => Promise<number>,
  args: readonly string[],
  { terminal = false, stopAsked = new Promise<void>(() => undefined) } = {},
): Promise<{ readonly code: number; readonly out: string; readonly err: string }> {
  const { written, ...io } = recordedIo();
  const whole = {
    ...io,
    errIsTerminal: terminal,
    environment: { HOME: '/nonexistent' },
    version: '1.2.3',
    stopAsked,
  };
  const code = await command(args, whole);
  return { code, out: written.out, err: written.err };
}

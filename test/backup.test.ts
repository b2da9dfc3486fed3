/** Aim: a backup gives back what was kept, whatever is done meanwhile; what is no whole backup of ours changes nothing. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, test } from 'vitest';
import { FileSpool } from '../src/adapters/spool/file-spool.ts';
import { lockFolder } from '../src/adapters/sqlite/folder-lock.ts';
import { SqliteReadingStore } from '../src/adapters/sqlite/sqlite-reading-store.ts';
import { makeBackup } from '../src/backup.ts';
import { claimFolder } from '../src/compose.ts';
import { RESTORING } from '../src/data-folder.ts';
import { restoreBackup } from '../src/restore.ts';
import { appendAll, nth, readAll } from './adapters/spool/spooled.ts';
import { keptFolder } from './cli/kept-folder.ts';
import { MINUTE, NOON } from './support/builders.ts';
import { rowsOf } from './support/database-rows.ts';
import { removeFolders, temporaryFolder } from './support/temporary-folder.ts';

removeFolders();

let base: string;
let data: string;
const at = (...names: string[]) => join(base, ...names);
const backup = (target = at('backup.tar.gz'), influx = false) =>
  makeBackup({ data, target, version: '1.2.3', influx, nowMs: NOON });
const restore = (file: string, into = at('restored'), replace = false) =>
  restoreBackup({ file, data: into, replace, nowMs: NOON + MINUTE });

beforeEach(async () => {
  base = temporaryFolder();
  data = at('data');
  const kept = await keptFolder(data, NOON);
  kept.kegs.putKeg('one', { name: 'Left' });
  for (let minute = 0; minute < 300; minute += 1) {
    kept.clock.advance(MINUTE);
    kept.hear('probes/one/beer-temperature', String(3 + (minute % 7) / 10));
  }
  await kept.flush();
  await kept.close();
});

describe('a backup', () => {
  test('gives back every row, and every message that waits', async () => {
    const spool = new FileSpool(join(data, 'spool'));
    await spool.open(() => undefined);
    await appendAll(spool, [nth(1), nth(2), nth(3)]);
    await spool.close();
    writeFileSync(join(data, 'site.key'), 'a key of another part');
    const before = rowsOf(data);
    const made = await backup();
    expect(made).toMatchObject({ file: at('backup.tar.gz'), without: [] });
    const restored = await restore(made.file);
    expect(restored).toMatchObject({ data: at('restored'), madeAt: '2026-06-01T12:00:00.000Z', putAside: null });
    expect(rowsOf(at('restored'))).toEqual(before);
    expect(Object.values(before).flat().length).toBeGreaterThan(300);
    expect(readFileSync(at('restored', 'site.key'), 'utf8')).toBe('a key of another part');
    const again = new FileSpool(at('restored', 'spool'));
    await again.open(() => undefined);
    expect(await readAll(again, again.checkpoint())).toEqual([nth(1), nth(2), nth(3)]);
    await again.close();
    // Nothing is left of the work, and the backup is the owner's alone.
    expect(readdirSync(base).toSorted()).toEqual(['backup.tar.gz', 'data', 'restored']);
    expect(statSync(made.file).mode & 0o777).toBe(0o600);
  });

  test('made while readings are written holds all that were stored when it began', async () => {
    const store = new SqliteReadingStore({ path: join(data, 'readings.sqlite') });
    await store.open();
    let written = 0;
    let stop = false;
    const writing = (async () => {
      while (!stop) {
        const measuredAtMs = NOON + 1_000_000_000 + written * 1000;
        await store.append([
          { probeId: 'one.beer-temperature', measuredAtMs, value: 4, receivedAtMs: measuredAtMs, timeFrom: 'receipt' },
        ]);
        written += 1;
        await new Promise((resolve) => setImmediate(resolve));
      }
    })();
    const storedBefore = written;
    const made = await backup();
    stop = true;
    await writing;
    await store.close();
    expect(written).toBeGreaterThan(storedBefore);
    await restore(made.file);
    const copy = new SqliteReadingStore({ path: at('restored', 'readings.sqlite') });
    await copy.open();
    const found = await copy.range('one.beer-temperature', 0, Number.MAX_SAFE_INTEGER, 1_000_000);
    await copy.close();
    expect(found.length).toBeGreaterThanOrEqual(300 + storedBefore);
    // Without a hole: what is there is the beginning of what was written.
    const late = found.filter(({ measuredAtMs }) => measuredAtMs >= NOON + 1_000_000_000);
    expect(late.map(({ measuredAtMs }) => measuredAtMs)).toEqual(late.map((_, n) => NOON + 1_000_000_000 + n * 1000));
  });

  test('goes into a folder under the name of the moment, and overwrites nothing', async () => {
    mkdirSync(at('stick'));
    expect((await backup(at('stick'))).file).toBe(at('stick', 'quietkeg-2026-06-01T120000Z.tar.gz'));
    await expect(backup(at('stick'))).rejects.toThrow(/exists already; a backup overwrites nothing/);
    expect(readdirSync(at('stick'))).toHaveLength(1);
  });

  test('of readings in InfluxDB says what is not in it, and how to save that', async () => {
    const { file, without } = await backup(at('b.tar.gz'), true);
    expect(without.join()).toMatch(/readings are in InfluxDB and not in this backup.*influxd backup -portable/);
    expect((await restore(file)).without).toEqual(without);
  });

  test('of a damaged database is not called good, and leaves nothing', async () => {
    const path = join(data, 'readings.sqlite');
    const bytes = readFileSync(path);
    // The root of a table is overwritten; its head stays whole.
    bytes.fill(0x5a, 4096 * 2, 4096 * 3);
    writeFileSync(path, bytes);
    await expect(backup()).rejects.toThrow(/malformed|did not stand its trial/);
    expect(readdirSync(base)).toEqual(['data']);
  });

  test('of a folder that holds nothing is refused', async () => {
    data = at('empty');
    mkdirSync(data);
    await expect(backup()).rejects.toThrow(/nothing is kept in .*--data/);
  });

  test('is what GNU tar can open too', async () => {
    const { file } = await backup();
    const names = execFileSync('tar', ['-tzf', file], { encoding: 'utf8' }).trim().split('\n');
    expect(names).toEqual(['manifest.json', 'catalogue.sqlite', 'readings.sqlite']);
  });
});

describe('a restore', () => {
  test('into a folder that is not empty needs a word, and then puts aside what was there', async () => {
    const { file } = await backup();
    mkdirSync(at('restored'));
    writeFileSync(at('restored', 'catalogue.sqlite'), 'older');
    await expect(restore(file)).rejects.toThrow(/is not empty; .* --replace/);
    expect(readFileSync(at('restored', 'catalogue.sqlite'), 'utf8')).toBe('older');
    const { putAside } = await restore(file, at('restored'), true);
    expect(putAside).toBe(at('restored', 'before-restore-2026-06-01T120100Z'));
    expect(readFileSync(join(putAside ?? '', 'catalogue.sqlite'), 'utf8')).toBe('older');
    expect(rowsOf(at('restored'))).toEqual(rowsOf(data));
  });

  test('into the folder of a running service is refused', async () => {
    const { file } = await backup();
    const unlock = lockFolder(data);
    await expect(restore(file, data, true)).rejects.toThrow(/another service uses the folder/);
    unlock();
    expect(existsSync(join(data, 'catalogue.sqlite'))).toBe(true);
  });

  test('that was broken off keeps the service from starting until it is made again', async () => {
    const { file } = await backup();
    mkdirSync(at('restored', RESTORING), { recursive: true });
    writeFileSync(at('restored', 'readings.sqlite'), 'half of it');
    expect(() => claimFolder(at('restored'))).toThrow(/was broken off.*restore FILE .*--replace/);
    writeFileSync(at('bad.tar.gz'), 'no backup');
    await expect(restore(at('bad.tar.gz'), at('restored'), true)).rejects.toThrow(/no backup/);
    expect(() => claimFolder(at('restored'))).toThrow(/was broken off/);
    await restore(file, at('restored'), true);
    expect(rowsOf(at('restored'))).toEqual(rowsOf(data));
    claimFolder(at('restored'))();
  });
});

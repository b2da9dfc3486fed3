/** Aim: an archive that is not a whole backup of ours is refused, and neither the folder nor anything else changes. */
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { beforeEach, expect, test } from 'vitest';
import { tarHeader } from '../src/adapters/archive/tar.ts';
import { makeBackup } from '../src/backup.ts';
import { restoreBackup } from '../src/restore.ts';
import { keptFolder } from './cli/kept-folder.ts';
import { anyHead, archived, sha256 } from './support/archives.ts';
import { NOON } from './support/builders.ts';
import { rowsOf } from './support/database-rows.ts';
import { removeFolders, temporaryFolder } from './support/temporary-folder.ts';

removeFolders();

let base: string;
let data: string;
const at = (...names: string[]) => join(base, ...names);
const backup = (target = at('backup.tar.gz')) =>
  makeBackup({ data, target, version: '1.2.3', influx: false, nowMs: NOON });
const restore = (file: string, into = at('restored'), replace = false) =>
  restoreBackup({ file, data: into, replace, nowMs: NOON });
type Rest = Parameters<typeof archived> extends [string, ...infer Others] ? Others : never;
const made = (...rest: Rest) => archived(at('made.tar.gz'), ...rest);

beforeEach(async () => {
  base = temporaryFolder();
  data = at('data');
  const kept = await keptFolder(data, NOON);
  kept.kegs.putKeg('one', { name: 'Left' });
  kept.hear('probes/one/beer-temperature', '3.3');
  await kept.flush();
  await kept.close();
});

const text = 'evil';
const CASES: readonly [string, () => string, RegExp][] = [
  ['a name that leads up', () => made([{ name: 'a', text, bytes: anyHead('../outside', 4) }]), /could lead out/],
  ['an absolute name', () => made([{ name: 'a', text, bytes: anyHead('/tmp/quietkeg-outside', 4) }]), /could lead out/],
  [
    'a name that leads up from the spool',
    () => made([{ name: 'a', text, bytes: anyHead('spool/../../outside', 4) }]),
    /could lead out/,
  ],
  ['a soft link', () => made([{ name: 'a', text: '', bytes: anyHead('a', 0, '2', '/etc') }]), /no plain file/],
  ['a hard link', () => made([{ name: 'a', text: '', bytes: anyHead('a', 0, '1', '/etc/passwd') }]), /no plain file/],
  ['a folder', () => made([{ name: 'a', text: '', bytes: anyHead('a', 0, '5') }]), /no plain file/],
  ['a device', () => made([{ name: 'a', text: '', bytes: anyHead('a', 0, '3') }]), /no plain file/],
  ['a long name in an extension', () => made([{ name: 'a', text, bytes: anyHead('a', 4, 'x') }]), /no plain file/],
  [
    'a manifest that names a way up',
    () => made([], undefined, manifestWith('../x')),
    /which is no file of a data folder/,
  ],
  ['a manifest that names itself', () => made([], undefined, manifestWith('manifest.json')), /which is no file/],
  [
    'a file that the manifest does not know',
    () => made([{ name: 'b', text }], undefined, manifestWith('c')),
    /not in its manifest/,
  ],
  [
    'a file twice',
    () =>
      made([
        { name: 'b', text },
        { name: 'b', text },
      ]),
    /names a file twice/,
  ],
  ['another size than told', () => made([{ name: 'b', text, bytes: anyHead('b', 3) }]), /another size/],
  [
    'other bytes than told',
    () => made([{ name: 'b', text }], (tar) => Buffer.from(tar.toString('latin1').replace('evil', 'good'), 'latin1')),
    /checksum is another/,
  ],
  ['a file less than told', () => made([], undefined, manifestWith('b')), /not whole: b is missing/],
  ['an end too early', () => made([{ name: 'b', text }], (tar) => tar.subarray(0, -1600)), /ends too early/],
  ['no manifest', () => made([], (tar) => Buffer.concat([tarHeader({ name: 'b', bytes: 0 }), tar])), /no manifest/],
  ['a manifest that is no JSON', () => made([], undefined, '['), /no manifest/],
  ['a newer format', () => made([], undefined, '{"format":2,"madeBy":"9.0.0"}'), /newer version \(9\.0\.0\); update/],
  ['sizes that no disk has', () => made([], undefined, manifestWith('b', Number.MAX_SAFE_INTEGER)), /MB are free/],
  ['no catalogue', () => made([{ name: 'b', text }]), /holds no catalogue/],
  ['a catalogue that is no database', () => made([{ name: 'catalogue.sqlite', text }]), /catalogue\.sqlite is damaged/],
];
function manifestWith(name: string, bytes = 4): string {
  return JSON.stringify({
    format: 1,
    madeBy: '1',
    madeAt: 'x',
    without: [],
    files: [{ name, bytes, sha256: sha256(text) }],
  });
}

test.each(CASES)('with %s is refused, and nothing changes', async (_what, make, words) => {
  const file = make();
  mkdirSync(at('restored'));
  await expect(restore(file)).rejects.toThrow(words);
  expect(readdirSync(at('restored')).filter((name) => !name.startsWith('lock.sqlite'))).toEqual([]);
  expect(existsSync(at('outside'))).toBe(false);
  expect(existsSync('/tmp/quietkeg-outside')).toBe(false);
});

test('with a byte changed anywhere is refused, or is the same', async () => {
  const { file } = await backup();
  const bytes = readFileSync(file);
  for (let place = 0; place < bytes.length; place += Math.ceil(bytes.length / 40)) {
    const changed = Buffer.from(bytes);
    changed.writeUInt8((changed[place] ?? 0) ^ 0x10, place);
    writeFileSync(at('changed.tar.gz'), changed);
    const into = at(`restored-${place}`);
    const outcome = await restore(at('changed.tar.gz'), into).catch((error: Error) => error);
    if (outcome instanceof Error) expect(existsSync(join(into, 'catalogue.sqlite'))).toBe(false);
    else expect(rowsOf(into)).toEqual(rowsOf(data));
  }
});

test('does not write through a link that waits in the folder', async () => {
  const { file } = await backup();
  mkdirSync(at('restored'));
  symlinkSync(at('outside'), at('restored', 'catalogue.sqlite'));
  await restore(file, at('restored'), true);
  expect(existsSync(at('outside'))).toBe(false);
});

test('of a newer version is refused', async () => {
  const newer = new DatabaseSync(join(data, 'catalogue.sqlite'));
  newer.exec('pragma user_version = 99');
  newer.close();
  await expect(backup(at('second.tar.gz'))).rejects.toThrow(/newer version \(schema 99/);
});

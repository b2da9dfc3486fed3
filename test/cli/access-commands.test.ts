/** Aim: passphrases and users of the broker are set from the command line, into the very files that the service reads. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { NodeSecrets } from '../../src/adapters/secrets/node-secrets.ts';
import { lockFolder } from '../../src/adapters/sqlite/folder-lock.ts';
import { SqliteAccessStore } from '../../src/adapters/sqlite/sqlite-access-store.ts';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteMqttUsers } from '../../src/adapters/sqlite/sqlite-mqtt-users.ts';
import type { CommandIo } from '../../src/cli/command.ts';
import { run } from '../../src/cli/run.ts';
import { removeFolders, temporaryFolder } from '../support/temporary-folder.ts';

removeFolders();
const PASSPHRASE = 'moss lantern oboe';

async function quietkeg(folder: string, args: readonly string[], typed: readonly string[] | null, piped = '') {
  const written = { out: '', err: '' };
  const answers = [...(typed ?? [])];
  const io: CommandIo = {
    stdin: (async function* () {
      yield piped;
    })(),
    out: (text) => {
      written.out += text;
    },
    err: (text) => {
      written.err += text;
    },
    environment: { QUIETKEG_DATA: folder },
    version: '1',
    stopAsked: new Promise(() => undefined),
    ...(typed === null ? {} : { askHidden: async () => answers.shift() ?? null }),
  };
  return { code: await run(args, io), ...written };
}
const open = (folder: string) => openCatalogueFile(join(folder, 'catalogue.sqlite'));

describe('quietkeg passphrase', () => {
  test.each([[[PASSPHRASE, PASSPHRASE], ''] as const, [null, `${PASSPHRASE}\r\nmore`] as const])(
    'sets the owner’s, typed or piped, beside a service that holds the folder',
    async (typed, piped) => {
      const folder = temporaryFolder();
      const release = lockFolder(folder);
      const { code, out, err } = await quietkeg(folder, ['passphrase'], typed, piped);
      expect([code, err]).toEqual([0, '']);
      expect(out).not.toContain(PASSPHRASE);
      const hash = new SqliteAccessStore(open(folder)).passphrases().get('owner') ?? '';
      expect(await new NodeSecrets().verify(PASSPHRASE, hash)).toBe(true);
      expect(readFileSync(join(folder, 'catalogue.sqlite')).includes(PASSPHRASE)).toBe(false);
      release();
    },
  );

  test.each([
    [['short', 'short'], /at least 12 characters; .*; nothing was changed/],
    [[PASSPHRASE, `${PASSPHRASE}s`], /the two are not the same; nothing was changed/],
    [[], /nothing was changed/],
  ] as const)('%j is refused', async (typed, words) => {
    const folder = temporaryFolder();
    const { code, err } = await quietkeg(folder, ['passphrase'], typed);
    expect([code, err]).toEqual([1, expect.stringMatching(words)]);
  });

  test('ends the sessions of whose it is; the owner’s ends all', async () => {
    const folder = temporaryFolder();
    const store = new SqliteAccessStore(open(folder));
    const session = { tokenDigest: 'd', kind: 'log-in', name: 'n', createdAtMs: 1, seenAtMs: 1 } as const;
    store.putSession({ ...session, sessionId: 's', role: 'viewer' });
    store.putSession({ ...session, sessionId: 't', tokenDigest: 'e', role: 'operator' });
    store.putInvitation({ tokenDigest: 'i', name: 'n', createdAtMs: 1 });
    const viewer = await quietkeg(folder, ['passphrase', '--role', 'viewer'], null, PASSPHRASE);
    expect(viewer.err).toMatch(/the owner has none yet/);
    expect(store.sessions().map(({ sessionId }) => sessionId)).toEqual(['t']);
    expect((await quietkeg(folder, ['passphrase', '--end-sessions'], null)).code).toBe(0);
    expect([store.sessions(), store.invitations()]).toEqual([[], []]);
    await quietkeg(folder, ['passphrase', '--remove', '--role', 'viewer'], null);
    expect(store.passphrases().size).toBe(0);
  });

  test('takes none on the command line, and knows its roles', async () => {
    expect(await quietkeg(temporaryFolder(), ['passphrase', PASSPHRASE], null)).toMatchObject({
      code: 2,
      err: expect.stringMatching(/where others can read it/),
    });
    expect((await quietkeg(temporaryFolder(), ['passphrase', '--role', 'king'], null)).code).toBe(2);
    expect((await quietkeg(temporaryFolder(), ['passphrase', '--help'], null)).out).toMatch(/quietkeg passphrase/);
  });
});

describe('quietkeg mqtt-user', () => {
  test('makes a user with a password that is shown once, lists it, and takes it away', async () => {
    const folder = temporaryFolder();
    const made = await quietkeg(folder, ['mqtt-user', 'garage', '--publish', 'probes/one/#, probes/two/#'], null);
    const password = /shown this once: (\S+)/.exec(made.out)?.[1] ?? '';
    const users = new SqliteMqttUsers(open(folder));
    expect(users.user('garage')).toMatchObject({ publish: ['probes/one/#', 'probes/two/#'], subscribe: [] });
    expect(await new NodeSecrets().verify(password, users.user('garage')?.hash ?? '')).toBe(true);
    const list = await quietkeg(folder, ['mqtt-user', '--list'], null);
    expect(list.out).toBe('garage  publishes to probes/one/#, probes/two/#; listens to nothing\n');
    expect((await quietkeg(folder, ['mqtt-user', 'garage', '--remove'], null)).code).toBe(0);
    expect(users.all()).toEqual([]);
    expect((await quietkeg(folder, ['mqtt-user', 'garage', '--remove'], null)).err).toMatch(/no user garage/);
  });

  test.each([
    ['mqtt-user'],
    ['mqtt-user', 'a', 'b'],
    ['mqtt-user', 'a b'],
    ['mqtt-user', 'a', '--publish', 'probes/#/x'],
    ['mqtt-user', 'a', '--password-stdin'],
  ])('%s %s %s %s is misused', async (...args) => {
    expect((await quietkeg(temporaryFolder(), args, null, 'short\n')).code).toBe(2);
  });
});

import { describe, expect, test } from 'vitest';
import { NodeSecrets } from '../../../src/adapters/secrets/node-secrets.ts';

const secrets = new NodeSecrets();

describe('passphrases', () => {
  test('are hashed with salt, so that the same gives another hash, and each is verified', async () => {
    const [one, two] = await Promise.all([secrets.hash('moss lantern oboe'), secrets.hash('moss lantern oboe')]);
    expect(one).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$[A-Za-z0-9+/]{22}\$[A-Za-z0-9+/]{43}$/);
    expect(one).not.toBe(two);
    expect(await secrets.verify('moss lantern oboe', one)).toBe(true);
    expect(await secrets.verify('moss lantern obo', one)).toBe(false);
    expect(await secrets.verify('', one)).toBe(false);
  });

  // Made by the reference implementation's command line (argon2 "somesalt" -id -m 16 -t 2 -p 1), as its README gives it; from memory.
  test('hashed by the reference implementation are verified', async () => {
    const hash = '$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc';
    expect(await secrets.verify('password', hash)).toBe(true);
    expect(await secrets.verify('Password', hash)).toBe(false);
  });

  test.each([
    '',
    'moss',
    '$argon2i$v=19$m=1,t=1,p=1$AAAA$AAAA',
    '$argon2id$v=19$m=64,t=1,p=1$c29tZXNhbHQ$AAAA',
    '$argon2id$v=19$m=19456,t=2,p=1$AAAA',
  ])('a damaged hash fits nothing: %j', async (hash) => {
    expect(await secrets.verify('moss lantern oboe', hash)).toBe(false);
  });

  test('too many at once are told, and all that wait are answered', async () => {
    const busy = new NodeSecrets();
    const work = Array.from({ length: 20 }, () =>
      busy.verify('x', `$argon2id$v=19$m=64,t=1,p=1$c29tZXNhbHQ$${'A'.repeat(43)}`),
    );
    expect(busy.isBusy()).toBe(true);
    await Promise.all(work);
    await Promise.resolve();
    expect(busy.isBusy()).toBe(false);
  });
});

describe('tokens', () => {
  test('differ, and have 256 bits; those to type have 20 clear letters', () => {
    const tokens = Array.from({ length: 1000 }, () => secrets.newToken());
    expect(new Set(tokens).size).toBe(1000);
    for (const token of tokens) expect(token).toMatch(/^[\w-]{43}$/);
    expect(secrets.newTypedToken()).toMatch(/^[2-9a-hjkmnp-tv-z]{4}(-[2-9a-hjkmnp-tv-z]{4}){4}$/);
    expect(secrets.newTypedToken()).not.toBe(secrets.newTypedToken());
  });

  test('sign as HMAC with SHA-256 does', () => {
    // @source RFC 4231, section 4.3 (test case 2)
    const tag = '5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843';
    const signed = secrets.sign('Jefe', 'what do ya want for nothing?');
    expect(Buffer.from(signed, 'base64url').toString('hex')).toBe(tag);
  });

  test('are compared as they are', () => {
    expect(secrets.isSame('abc', 'abc')).toBe(true);
    expect(secrets.isSame('abc', 'abd')).toBe(false);
    expect(secrets.isSame('abc', 'ab')).toBe(false);
    expect(secrets.isSame('', '')).toBe(true);
  });
});

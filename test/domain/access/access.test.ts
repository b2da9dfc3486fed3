import { describe, expect, test } from 'vitest';
import { passphraseFault } from '../../../src/domain/access/passphrase.ts';
import { mayDo, ROLES } from '../../../src/domain/access/role.ts';
import { endsAtMs, isOver, type Session } from '../../../src/domain/access/session.ts';
import { BY_ACCOUNT, BY_ADDRESS, type Failures, oneMore, waitMs } from '../../../src/domain/access/throttle.ts';

describe('roles', () => {
  test('each may do what those before it may, and no more', () => {
    const table = ROLES.map((role) => ROLES.map((needed) => mayDo(role, needed)));
    expect(table).toEqual([
      [true, false, false],
      [true, true, false],
      [true, true, true],
    ]);
  });
});

describe('waiting after failures', () => {
  /** Waits before each of so many tries, all failing, each made as soon as it may be. */
  function waits(rule: typeof BY_ADDRESS, tries: number): number[] {
    let failures: Failures | undefined;
    let nowMs = 5;
    return Array.from({ length: tries }, () => {
      const pauseMs = waitMs(failures, rule, nowMs);
      nowMs += pauseMs;
      failures = oneMore(failures, rule, nowMs);
      return pauseMs / 1000;
    });
  }

  test('an address: some tries are free, then the wait doubles up to a quarter of an hour', () => {
    expect(waits(BY_ADDRESS, 18)).toEqual([0, 0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900, 900]);
  });

  test('an account: strangers slow it down, but its owner gets a turn within half a minute', () => {
    const all = waits(BY_ACCOUNT, 40);
    expect(all.slice(0, 21)).toEqual(Array(21).fill(0));
    expect(Math.max(...all)).toBe(30);
  });

  // 1,000 of the likeliest passphrases from one address take longer than a week.
  test('guessing a thousand passphrases from one address takes more than a week', () => {
    expect(waits(BY_ADDRESS, 1000).reduce((sum, s) => sum + s, 0)).toBeGreaterThan(7 * 24 * 3600);
  });

  test('an hour without a failure forgives', () => {
    let failures: Failures | undefined;
    for (let n = 0; n < 10; n += 1) failures = oneMore(failures, BY_ADDRESS, 0);
    expect(waitMs(failures, BY_ADDRESS, 0)).toBe(32_000);
    expect(waitMs(failures, BY_ADDRESS, 31_999)).toBe(1);
    expect(waitMs(failures, BY_ADDRESS, 32_000)).toBe(0);
    expect(oneMore(failures, BY_ADDRESS, BY_ADDRESS.forgetMs).count).toBe(11);
    expect(oneMore(failures, BY_ADDRESS, BY_ADDRESS.forgetMs + 1).count).toBe(1);
  });
});

describe('a new passphrase', () => {
  test.each([
    ['short', /at least 12/],
    ['elevenchars', /at least 12/],
    ['🍺🍺🍺🍺🍺🍺🍺🍺🍺🍺🍺', /at least 12/],
    ['x'.repeat(201), /at most 200/],
    ['aaaaaaaaaaaaaa', /guessed first/],
    ['abababababababab', /guessed first/],
    ['123456789012', /guessed first/],
    ['987654321098', /guessed first/],
    ['abcdefghijklm', /guessed first/],
    ['password1234', /guessed first/],
    ['Quietkeg2026', /guessed first/],
    ['qwertyuiop12', /guessed first/],
  ])('%s: %s', (passphrase, fault) => {
    expect(passphraseFault(passphrase)).toMatch(fault);
  });

  // NIST SP 800-63B, section 5.1.1.2: any characters, spaces too, and no rules of composition.
  test.each([
    'moss lantern oboe',
    'twelve chars',
    'Ж☃ keller-und-garage',
    `${'ab c'.repeat(50)}`,
    'quietkeg moss lantern',
  ])('%s will do', (passphrase) => {
    expect(passphraseFault(passphrase)).toBeNull();
  });
});

describe('a session', () => {
  const DAY = 24 * 3600_000;
  const session: Session = {
    sessionId: 's',
    tokenDigest: 'd',
    role: 'viewer',
    kind: 'log-in',
    name: 'n',
    createdAtMs: 0,
    seenAtMs: 160 * DAY,
  };

  test('of a log-in ends after 30 days without use, and after 180 in any case', () => {
    expect(endsAtMs({ ...session, seenAtMs: DAY })).toBe(31 * DAY);
    expect(isOver({ ...session, seenAtMs: DAY }, 31 * DAY)).toBe(false);
    expect(isOver({ ...session, seenAtMs: DAY }, 31 * DAY + 1)).toBe(true);
    expect(endsAtMs(session)).toBe(180 * DAY);
    expect(isOver(session, 180 * DAY)).toBe(false);
    expect(isOver(session, 180 * DAY + 1)).toBe(true);
  });

  test('of a tablet lasts while it is used, that of a program until it is revoked', () => {
    const device: Session = { ...session, kind: 'device', seenAtMs: 1000 * DAY };
    expect(endsAtMs(device)).toBe(1400 * DAY);
    expect([isOver(device, 1400 * DAY), isOver(device, 1400 * DAY + 1)]).toEqual([false, true]);
    const program: Session = { ...session, kind: 'program' };
    expect(endsAtMs(program)).toBeNull();
    expect(isOver(program, 9999 * DAY)).toBe(false);
  });
});

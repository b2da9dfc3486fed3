import { describe, expect, test } from 'vitest';
import { NightlyBackup } from '../../src/app/nightly-backup.ts';
import type { BackupOutcome } from '../../src/ports/backups.ts';
import { DAY, HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { keptLog } from '../support/kept-log.ts';
import { settle } from '../support/until.ts';

/** A folder of backups in memory, whose next outcome a test may choose. */
function world({ zone = 'Europe/Berlin', startMs = NOON } = {}) {
  const clock = new FakeClock(startMs);
  const { log, lines } = keptLog();
  const made = new Map<string, number>();
  const state = {
    keep: 3,
    trusted: true,
    fail: null as (() => BackupOutcome) | null,
    stopped: false,
    listFails: false,
  };
  const backups = {
    make: async (): Promise<BackupOutcome> => {
      if (state.fail !== null) return state.fail();
      const name = `nightly-${iso(clock.nowMs())}`;
      made.set(name, clock.nowMs());
      return { ok: true, name, bytes: 1000 };
    },
    list: () => {
      if (state.listFails) throw new Error('the stick is not there');
      return [...made].map(([name, atMs]) => ({ name, atMs }));
    },
    remove: (name: string) => made.delete(name),
    stop: () => {
      state.stopped = true;
    },
  };
  const options = {
    clock,
    log,
    backups,
    keep: () => state.keep,
    timeZone: () => zone,
    clockTrusted: () => state.trusted,
  };
  const nightly = new NightlyBackup(options);
  const go = async (durationMs: number) => {
    for (let left = durationMs; left > 0; left -= 10 * MINUTE) {
      clock.advance(10 * MINUTE);
      await settle(4);
    }
  };
  return { clock, lines, made, state, nightly, go, again: () => new NightlyBackup(options) };
}

const times = (made: ReadonlyMap<string, number>) => [...made.values()].map(iso);

describe('the nightly backup', () => {
  test('is made once a night after half past three, where the kegs are', async () => {
    const { made, nightly, go } = world();
    nightly.start();
    await go(MINUTE);
    // It was noon in UTC when it started, and none had been made that day.
    expect(times(made)).toEqual(['2026-06-01T12:10:00.000Z']);
    await go(2 * DAY);
    // Summer time in Berlin is two hours ahead.
    expect(times(made).slice(1)).toEqual(['2026-06-02T01:30:00.000Z', '2026-06-03T01:30:00.000Z']);
  });

  test('keeps the newest, and loses an old one only when a newer one is good', async () => {
    const { made, nightly, go, state } = world();
    nightly.start();
    await go(5 * DAY);
    expect(times(made).map((at) => at.slice(0, 10))).toEqual(['2026-06-04', '2026-06-05', '2026-06-06']);
    state.fail = () => ({ ok: false, trouble: 'the disk is full' });
    await go(5 * DAY);
    expect(made.size).toBe(3);
    expect(nightly.trouble()).toBe('the disk is full');
    state.fail = null;
    await go(2 * HOUR);
    expect(nightly.trouble()).toBeNull();
    expect(made.size).toBe(3);
  });

  test('that fails is tried again each hour, and told once', async () => {
    const { nightly, go, state, lines } = world();
    let tries = 0;
    state.fail = () => {
      tries += 1;
      return { ok: false, trouble: 'the disk is full' };
    };
    nightly.start();
    await go(6 * HOUR);
    expect(tries).toBeGreaterThanOrEqual(6);
    expect(tries).toBeLessThan(16);
    expect(lines.filter((line) => line.includes('disk is full'))).toHaveLength(1);
  });

  test('is not made while nobody knows the day, nor if none are wanted', async () => {
    const { made, nightly, go, state } = world();
    state.trusted = false;
    nightly.start();
    await go(2 * DAY);
    state.trusted = true;
    state.keep = 0;
    await go(2 * DAY);
    expect(made.size).toBe(0);
    // A number that was set while it runs holds at once.
    state.keep = 1;
    await go(2 * DAY);
    expect(made.size).toBe(1);
  });

  test('is not made twice by a restart or a clock that was set back', async () => {
    const { clock, made, nightly, go, again } = world();
    nightly.start();
    await go(HOUR);
    await nightly.stop();
    again().start();
    await go(HOUR);
    clock.stepWall(-HOUR);
    await go(2 * HOUR);
    expect(made.size).toBe(1);
  });

  test('tells of a folder that cannot be read, and breaks off when the service stops', async () => {
    const { nightly, go, state, lines } = world();
    state.listFails = true;
    nightly.start();
    await go(3 * HOUR);
    expect(lines).toEqual(['error no nightly backup: the stick is not there']);
    expect(nightly.newestMs()).toBeNull();
    await nightly.stop();
    expect(state.stopped).toBe(true);
  });
});

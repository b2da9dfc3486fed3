import { beforeEach, describe, expect, test } from 'vitest';
import { SqliteReadyBook } from '../../src/adapters/sqlite/sqlite-ready-book.ts';
import { Feed } from '../../src/app/feed.ts';
import { ReadyTimes } from '../../src/app/ready-times.ts';
import type { Check, KegState } from '../../src/contract/index.ts';
import { DAY, HOUR, iso } from '../support/builders.ts';
import { World } from '../support/world.ts';

/** Forecasts of a batch as its keg's states tell them, kept in a real book. */
let world: World;
let batchId: string;
let feed: Feed;
let times: ReadyTimes;

beforeEach(async () => {
  world = await World.make();
  batchId = world.fill();
  feed = new Feed();
  times = open();
});

function open(): ReadyTimes {
  const { services, database, journal, clock, log } = world;
  const book = new SqliteReadyBook(database);
  return new ReadyTimes({ book, feed, register: services.register, verdicts: journal, clock, log: log.log });
}

function say(afterMs: number, hours: number | null, carbonation: Check['state'] = 'wait'): void {
  world.clock.advance(afterMs);
  const base = world.state();
  const checks = base.verdict.checks.map((check) =>
    check.name === 'carbonation' ? { ...check, state: carbonation } : check,
  );
  const readyIn = hours === null ? null : { hours, lowHours: hours * 0.7, highHours: hours * 1.5 };
  const state: KegState = { ...base, at: iso(world.clock.nowMs()), readyIn, verdict: { ...base.verdict, checks } };
  feed.keg(state);
}

const told = () => {
  const outcome = times.of(batchId);
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};

describe('ready times', () => {
  test('keep a forecast a day and hold it against the day on which the carbonation was right', () => {
    say(0, null);
    say(HOUR, 72);
    say(HOUR, 71);
    say(DAY, 50);
    say(2 * DAY, 3);
    say(HOUR, 0, 'pass');
    say(DAY, 20);
    const { inWindowAt, readyAt, forecasts } = told();
    expect(inWindowAt).toBe(iso(world.clock.nowMs() - DAY));
    expect(readyAt).toBeNull();
    expect(forecasts.map(({ hours, lateHours, inRange }) => [hours, lateHours, inRange])).toEqual([
      [72, 2, true],
      [50, -1, true],
      [3, -2, false],
    ]);
  });

  test('claim nothing of a beer that was right from the first word on', () => {
    say(HOUR, 0, 'pass');
    expect(told()).toMatchObject({ inWindowAt: null, forecasts: [] });
  });

  test('know when the verdict was ready for the first time', () => {
    world.journal.saveVerdict('one', 'wait', world.clock.nowMs() - HOUR, '');
    world.journal.saveVerdict('one', 'ready', world.clock.nowMs(), '');
    world.journal.saveVerdict('one', 'act', world.clock.nowMs() + HOUR, '');
    world.journal.saveVerdict('one', 'ready', world.clock.nowMs() + 2 * HOUR, '');
    const atMs = world.clock.nowMs();
    world.clock.advance(DAY);
    expect(told().readyAt).toBe(iso(atMs));
  });

  test('outlive a restart', () => {
    say(HOUR, 72);
    times = open();
    say(HOUR, 70);
    say(DAY, 40, 'pass');
    expect(told()).toMatchObject({ forecasts: [{ hours: 72 }], inWindowAt: iso(world.clock.nowMs()) });
  });

  test('are refused for a batch that nobody knows', () => {
    expect(times.of('none')).toMatchObject({ ok: false, code: 'batch-unknown' });
  });

  test('that cannot be kept are said once, and nobody waits for them', () => {
    world.database.exec('drop table ready_forecast');
    say(HOUR, 72);
    say(DAY, 50);
    expect(world.log.lines.filter((line) => line.includes('forecasts cannot be kept'))).toHaveLength(1);
  });
});

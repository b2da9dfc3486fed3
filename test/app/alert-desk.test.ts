import { describe, expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import type { Episode } from '../../src/alerts/episode.ts';
import type { Finding } from '../../src/alerts/rule.ts';
import { AlertDesk } from '../../src/app/alert-desk.ts';
import { HOUR, MINUTE, NOON } from '../support/builders.ts';

const words = (message: string) => ({ measured: 1, limit: 2.2, unit: 'Cel', message, advice: 'advice' });

function aDesk(journal = new SqliteJournal(openCatalogueFile(':memory:'))) {
  const told: Episode[] = [];
  const desk = new AlertDesk(journal, (episode) => told.push(episode));
  const cold = (minute: number, finding: Finding, target = 'one') =>
    desk.sample({
      rule: 'cold-enough',
      target,
      kegId: target,
      finding,
      atMs: NOON + minute * MINUTE,
      words: words(`at ${minute}`),
      endWords: words(`over at ${minute}`),
    });
  const active = (target = 'one') => {
    cold(0, 'holds', target);
    cold(10, 'holds', target);
  };
  return { desk, journal, told, cold, active };
}
const lines = (episodes: readonly Episode[]) => episodes.map(({ state, message }) => `${state.kind}: ${message}`);

describe('episodes', () => {
  test('are kept while they build, told when they are active and when they have ended', () => {
    const { desk, journal, told, cold } = aDesk();
    cold(0, 'holds');
    expect(lines(journal.openEpisodes())).toEqual(['building: at 0']);
    cold(10, 'holds');
    cold(11, 'holds');
    cold(12, 'between');
    cold(13, 'over');
    expect(lines(told)).toEqual(['active: at 10', 'ended: over at 13']);
    expect(lines(desk.recent(10))).toEqual(['ended: over at 13']);
    expect(desk.open()).toEqual([]);
  });

  test('of one rule and target never overlap; a gap makes another one of it', () => {
    const { journal, cold } = aDesk();
    cold(0, 'holds');
    cold(40, 'holds');
    expect(journal.openEpisodes().map(({ id }) => id)).toEqual([`cold-enough.one.${NOON + 40 * MINUTE}`]);
  });

  test('that came to nothing leave nothing behind', () => {
    const { desk, journal, told, cold } = aDesk();
    cold(0, 'holds');
    cold(5, 'between');
    expect(journal.recentEpisodes(10)).toEqual([]);
    expect(desk.open()).toEqual([]);
    expect(told).toEqual([]);
  });

  test('are listed oldest first while open, newest first of all', () => {
    const { desk, active, cold } = aDesk();
    active('one');
    cold(5, 'holds', 'two');
    expect(desk.open().map(({ target }) => target)).toEqual(['one', 'two']);
    expect(desk.told().map(({ target }) => target)).toEqual(['one']);
    expect(desk.recent(10).map(({ target }) => target)).toEqual(['two', 'one']);
    expect(desk.recent(1).map(({ target }) => target)).toEqual(['two']);
  });

  test('go on after a restart where they stood, and nothing is told twice', () => {
    const first = aDesk();
    first.active();
    const second = aDesk(first.journal);
    second.cold(11, 'holds');
    expect(second.told).toEqual([]);
    second.cold(12, 'over');
    expect(lines(second.told)).toEqual(['ended: over at 12']);
    const third = aDesk(first.journal);
    third.cold(12, 'over');
    third.cold(13, 'over');
    expect(third.told).toEqual([]);
  });

  test('that have ended begin anew', () => {
    const { desk, told, active, cold } = aDesk();
    active();
    cold(11, 'over');
    cold(12, 'holds');
    cold(22, 'holds');
    expect(told.map(({ state, id }) => [state.kind, id])).toEqual([
      ['active', `cold-enough.one.${NOON}`],
      ['ended', `cold-enough.one.${NOON}`],
      ['active', `cold-enough.one.${NOON + 12 * MINUTE}`],
    ]);
    cold(23, 'over');
    cold(24, 'over');
    expect(desk.recent(10)).toHaveLength(2);
  });
});

describe('marks', () => {
  test('acknowledging is kept with the first time, and survives what follows', () => {
    const { desk, journal, told, active, cold } = aDesk();
    active();
    const { id } = desk.open()[0] ?? { id: '' };
    expect(desk.acknowledge(id, NOON + HOUR)?.acknowledgedAtMs).toBe(NOON + HOUR);
    expect(desk.acknowledge(id, NOON + 2 * HOUR)?.acknowledgedAtMs).toBe(NOON + HOUR);
    cold(11, 'over');
    expect(journal.episode(id)).toMatchObject({ acknowledgedAtMs: NOON + HOUR, state: { kind: 'ended' } });
    expect(told).toHaveLength(4);
  });

  test('muting is set and taken back, for what is over too', () => {
    const { desk, journal, active, cold } = aDesk();
    active();
    cold(11, 'over');
    cold(12, 'over');
    const id = `cold-enough.one.${NOON}`;
    expect(desk.mute(id, NOON + HOUR)?.mutedUntilMs).toBe(NOON + HOUR);
    expect(desk.mute(id, null)?.mutedUntilMs).toBeNull();
    expect(journal.episode(id)?.mutedUntilMs).toBeNull();
  });

  test('of an unknown episode are refused', () => {
    const { desk } = aDesk();
    expect(desk.acknowledge('nothing', NOON)).toBeNull();
    expect(desk.mute('nothing', NOON)).toBeNull();
    expect(desk.get('nothing')).toBeNull();
  });

  test('a building episode is marked without telling anybody', () => {
    const { desk, told, cold } = aDesk();
    cold(0, 'holds');
    desk.acknowledge(`cold-enough.one.${NOON}`, NOON);
    expect(told).toEqual([]);
  });

  test('unverified is told once, and ends with the next sample', () => {
    const { desk, told, active, cold } = aDesk();
    desk.markUnverified('cold-enough', 'one', true);
    active();
    desk.markUnverified('cold-enough', 'one', false);
    desk.markUnverified('cold-enough', 'one', true);
    desk.markUnverified('cold-enough', 'one', true);
    desk.markUnverified('cold-enough', 'two', true);
    cold(11, 'holds');
    expect(told.map(({ unverified }) => unverified)).toEqual([false, true, false]);
  });
});

describe('what is watched going away', () => {
  test('ends what is active and drops what builds', () => {
    const { desk, journal, told, active, cold } = aDesk();
    active('one');
    cold(10, 'holds', 'two');
    desk.endFor('one', NOON + HOUR);
    desk.endFor('two', NOON + HOUR);
    desk.endFor('three', NOON + HOUR);
    expect(told.at(-1)).toMatchObject({ target: 'one', state: { kind: 'ended', endedAtMs: NOON + HOUR } });
    expect(journal.openEpisodes()).toEqual([]);
    expect(journal.recentEpisodes(10)).toHaveLength(1);
  });

  test('does nothing to what is over', () => {
    const { desk, told, active, cold } = aDesk();
    active();
    cold(11, 'over');
    desk.endFor('one', NOON + HOUR);
    expect(told).toHaveLength(2);
  });
});

test('an episode that builds is journalled once a minute, not with every sample', () => {
  const { journal, cold } = aDesk();
  const saved: number[] = [];
  const { saveEpisode } = journal;
  journal.saveEpisode = (episode) => {
    saved.push(episode.state.lastSampleMs - NOON);
    saveEpisode.call(journal, episode);
  };
  for (let sample = 0; sample < 30; sample += 1) cold(sample / 6, 'holds');
  expect(saved).toEqual([0, 1, 2, 3, 4].map((minute) => minute * MINUTE));
});

describe('a journal that takes nothing', () => {
  const atFullDisk = () => {
    const journal = new SqliteJournal(openCatalogueFile(':memory:'));
    const { saveEpisode, saveTurn } = journal;
    const full = () => {
      throw new Error('database or disk is full');
    };
    Object.assign(journal, { saveEpisode: full, saveTurn: full });
    const made = aDesk(journal);
    const notKept = (minute: number, finding: Finding) =>
      made.desk.sample({
        rule: 'readings-not-kept',
        target: 'spool',
        kegId: null,
        finding,
        atMs: NOON + minute * MINUTE,
        words: words('no room'),
        endWords: words('room again'),
      });
    return { ...made, notKept, makeRoom: () => Object.assign(journal, { saveEpisode, saveTurn }) };
  };

  test('does not keep its own cause from being told, and is caught up with', () => {
    const { told, journal, notKept, makeRoom } = atFullDisk();
    notKept(0, 'holds');
    notKept(1, 'holds');
    expect(lines(told)).toEqual(['active: no room']);
    expect(journal.openEpisodes()).toEqual([]);
    makeRoom();
    notKept(2, 'holds');
    expect(lines(journal.openEpisodes())).toEqual(['active: no room']);
    notKept(3, 'over');
    expect(lines(told)).toEqual(['active: no room', 'ended: room again']);
  });

  test('keeps other alerts from being told until they are journalled', () => {
    const { told, cold, makeRoom } = atFullDisk();
    expect(() => cold(0, 'holds')).toThrow('disk is full');
    makeRoom();
    cold(10, 'holds');
    cold(20, 'holds');
    expect(lines(told)).toEqual(['active: at 20']);
  });
});

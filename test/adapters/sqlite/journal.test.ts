import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { openCatalogueFile } from '../../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../../src/adapters/sqlite/sqlite-journal.ts';
import { type Episode, newEpisode } from '../../../src/alerts/episode.ts';
import { RULES } from '../../../src/alerts/rules.ts';
import { HOUR, NOON } from '../../support/builders.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';

removeFolders();

function inFile() {
  const path = join(temporaryFolder(), 'catalogue.sqlite');
  let database = openCatalogueFile(path);
  return {
    journal: new SqliteJournal(database),
    reopen: () => {
      database.close();
      database = openCatalogueFile(path);
      return new SqliteJournal(database);
    },
  };
}

const words = { measured: 1.9, limit: 2.2, unit: 'Cel', message: 'cold', advice: 'fill' };
const anEpisode = (target: string, hour = 0, change: Partial<Episode> = {}): Episode => {
  const beganAtMs = NOON + hour * HOUR;
  const active = { kind: 'active', beganAtMs, lastSampleMs: beganAtMs } as const;
  return { ...newEpisode(RULES['cold-enough'], target, target, active, words), ...change };
};
const ended = (episode: Episode, hour: number): Episode => {
  const { beganAtMs } = episode.state;
  const endedAtMs = NOON + hour * HOUR;
  return { ...episode, state: { kind: 'ended', beganAtMs, lastSampleMs: endedAtMs, endedAtMs } };
};

describe('episodes', () => {
  test('come back as they were', () => {
    const { journal, reopen } = inFile();
    const one = anEpisode('one', 0, { acknowledgedAtMs: NOON, mutedUntilMs: NOON + HOUR, unverified: true });
    const probe = anEpisode('x.ambient-pressure', 1, { kegId: null, measured: null, limit: null, unit: null });
    journal.saveEpisode(one);
    journal.saveEpisode(probe);
    const again = reopen();
    expect(again.openEpisodes()).toEqual([one, probe]);
    expect(again.episode(one.id)).toEqual(one);
    expect(again.episode('nothing')).toBeNull();
  });

  test('change, end and stay; those that came to nothing go', () => {
    const { journal } = inFile();
    const one = anEpisode('one');
    journal.saveEpisode(one);
    journal.saveEpisode(ended(one, 2));
    expect(journal.openEpisodes()).toEqual([]);
    expect(journal.episode(one.id)).toEqual(ended(one, 2));
    journal.saveEpisode(anEpisode('one', 3));
    journal.removeEpisode(one.id);
    expect(journal.recentEpisodes(9).map(({ state }) => state.beganAtMs)).toEqual([NOON + 3 * HOUR]);
  });

  test('of one rule and target are open one at a time', () => {
    const { journal } = inFile();
    journal.saveEpisode(anEpisode('one'));
    expect(() => journal.saveEpisode(anEpisode('one', 1))).toThrow(/UNIQUE/);
    journal.saveEpisode(anEpisode('two', 1));
  });

  test('are listed newest first, so many as asked for', () => {
    const { journal } = inFile();
    for (let hour = 0; hour < 20; hour += 1) journal.saveEpisode(ended(anEpisode('one', hour), hour + 1));
    expect(journal.recentEpisodes(3).map(({ state }) => (state.beganAtMs - NOON) / HOUR)).toEqual([19, 18, 17]);
  });
});

test('verdicts are remembered, the newest of each keg', () => {
  const { journal, reopen } = inFile();
  journal.saveVerdict('one', 'unknown', NOON, 'Say what is in it.');
  journal.saveVerdict('one', 'act', NOON + HOUR, 'Turn it down.');
  journal.saveVerdict('two', 'wait', NOON, 'Wait.');
  expect(reopen().lastVerdicts()).toEqual(
    new Map([
      ['one', { kind: 'act', sinceMs: NOON + HOUR }],
      ['two', { kind: 'wait', sinceMs: NOON }],
    ]),
  );
});

describe('what could not be used', () => {
  const rejected = (n: number) => ({ topic: `t${n}`, atMs: NOON + n, reason: 'no', sample: 'x' });
  const heard = (n: number) => ({ topic: `t${n}`, sample: 'x', lastHeardAtMs: NOON + n, messages: 2 });

  test('comes back newest first; topics add their messages up', () => {
    const { journal, reopen } = inFile();
    journal.saveListening([heard(1), heard(2)], [rejected(1), rejected(2)], 7);
    journal.saveListening([{ ...heard(1), lastHeardAtMs: NOON + 9, sample: 'y' }], [], 8);
    const again = reopen();
    expect(again.rejected()).toEqual([rejected(2), rejected(1)]);
    expect(again.rejectedCount()).toBe(8);
    expect(again.heardTopics()).toEqual([{ topic: 't1', sample: 'y', lastHeardAtMs: NOON + 9, messages: 4 }, heard(2)]);
  });

  test('is bounded: the newest are kept', () => {
    const { journal } = inFile();
    const many = Array.from({ length: 700 }, (_, n) => n);
    journal.saveListening(many.map(heard), many.map(rejected), 700);
    expect(journal.rejected()).toHaveLength(200);
    expect(journal.rejected()[0]).toEqual(rejected(699));
    expect(journal.heardTopics()).toHaveLength(500);
    expect(journal.heardTopics().at(-1)).toEqual(heard(200));
  });

  test('is kept all or not at all', () => {
    const { journal } = inFile();
    const broken = { ...rejected(1), reason: null as unknown as string };
    expect(() => journal.saveListening([heard(1)], [broken], 1)).toThrow(/NOT NULL/);
    expect([journal.heardTopics(), journal.rejected(), journal.rejectedCount()]).toEqual([[], [], 0]);
    journal.saveListening([heard(1)], [], 1);
    expect(journal.heardTopics()).toHaveLength(1);
  });
});

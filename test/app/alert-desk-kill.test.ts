/**
 * Aim: being killed at any moment neither loses nor repeats news. Method: a day is played once in peace; then again and again,
 * each time killed just before or just after another write to the journal, or between the telling and its mark. After a
 * restart, samples of readings come again from the start of the day, as the spool may give them; those of states do not.
 */
import { expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import type { Episode } from '../../src/alerts/episode.ts';
import { RULES } from '../../src/alerts/rules.ts';
import { AlertDesk } from '../../src/app/alert-desk.ts';
import type { EpisodeJournal } from '../../src/ports/journal.ts';
import { scriptedDay } from '../support/alert-day.ts';

class Killed extends Error {}

type Writes = Pick<EpisodeJournal, 'saveEpisode' | 'saveTurn' | 'turnTold' | 'removeEpisode'>;

/** A journal that kills whoever writes to it at a point; each write has two, before and after. */
function deadly(journal: EpisodeJournal, killAt: number): { journal: EpisodeJournal; points: () => number } {
  let points = 0;
  const pass = () => {
    points += 1;
    if (points === killAt) throw new Killed();
  };
  const around = (write: () => void) => {
    pass();
    write();
    pass();
  };
  const writes: Writes = {
    saveEpisode: (episode) => around(() => journal.saveEpisode(episode)),
    saveTurn: (episode) => around(() => journal.saveTurn(episode)),
    turnTold: (id) => around(() => journal.turnTold(id)),
    removeEpisode: (id) => around(() => journal.removeEpisode(id)),
  };
  const reads: Omit<EpisodeJournal, keyof Writes> = {
    openEpisodes: () => journal.openEpisodes(),
    recentEpisodes: (limit) => journal.recentEpisodes(limit),
    episode: (id) => journal.episode(id),
    untoldEpisodes: () => journal.untoldEpisodes(),
    lastEpisodes: () => journal.lastEpisodes(),
    episodesSince: (sinceMs) => journal.episodesSince(sinceMs),
    beginsOf: (rule, target, sinceMs) => journal.beginsOf(rule, target, sinceMs),
  };
  return { journal: { ...reads, ...writes }, points: () => points };
}

function play(killAt: number) {
  const kept = new SqliteJournal(openCatalogueFile(':memory:'));
  const told = new Set<string>();
  const tell = ({ id, state }: Episode) => told.add(`${id} ${state.kind === 'ended' ? 'end' : 'begin'}`);
  const { journal, points } = deadly(kept, killAt);
  let desk = new AlertDesk(journal, tell);
  const day = scriptedDay();
  let kills = 0;
  for (const [index, step] of day.entries()) {
    const go = () => (step.kind === 'sample' ? desk.sample(step.sample) : step.run(desk));
    try {
      go();
    } catch (error) {
      if (!(error instanceof Killed)) throw error;
      kills += 1;
      desk = new AlertDesk(journal, tell);
      desk.retell();
      for (const again of day.slice(0, index)) {
        if (again.kind === 'sample' && RULES[again.sample.rule].rereads) desk.sample(again.sample);
      }
      go();
    }
  }
  return { told: [...told].toSorted(), kept: kept.recentEpisodes(1000), points: points(), kills };
}

test('killed at any write, the journal and what was told are those of a day in peace', () => {
  const peace = play(-1);
  expect(peace.kills).toBe(0);
  expect(peace.points).toBeGreaterThan(80);
  expect(peace.told.length).toBeGreaterThan(12);
  for (let killAt = 1; killAt <= peace.points; killAt += 1) {
    const killed = play(killAt);
    expect({ killAt, kills: killed.kills }).toEqual({ killAt, kills: 1 });
    expect({ killAt, told: killed.told }).toEqual({ killAt, told: peace.told });
    expect({ killAt, kept: killed.kept }).toEqual({ killAt, kept: peace.kept });
  }
});

test('a begin without an end stays open, an end has its begin, and each is told once in peace', () => {
  const { told } = play(-1);
  const begun = told.filter((line) => line.endsWith('begin')).map((line) => line.replace(/ begin$/, ''));
  for (const line of told.filter((one) => one.endsWith('end'))) expect(begun).toContain(line.replace(/ end$/, ''));
});

/** Aim: one cause, one message; what comes and goes merges; what was said is not said again. */
import { describe, expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import type { AlertSample, Episode } from '../../src/alerts/episode.ts';
import type { Finding, RuleName } from '../../src/alerts/rule.ts';
import { AlertDesk } from '../../src/app/alert-desk.ts';
import { DAY, HOUR, MINUTE, NOON } from '../support/builders.ts';

const WORDS = { measured: null, limit: null, unit: null, message: 'm', advice: 'a' };

function aDesk(journal = new SqliteJournal(openCatalogueFile(':memory:'))) {
  const told: string[] = [];
  const tell = ({ rule, target, state }: Episode) => {
    if (state.kind !== 'clearing') told.push(`${rule} ${target} ${state.kind}`);
  };
  const desk = new AlertDesk(journal, tell);
  const at = (minute: number, rule: RuleName, target: string, finding: Finding, more: Partial<AlertSample> = {}) =>
    desk.sample({
      rule,
      target,
      kegId: null,
      finding,
      atMs: NOON + minute * MINUTE,
      words: WORDS,
      endWords: WORDS,
      ...more,
    });
  const silent = (minute: number, target: string, finding: Finding, onset = 0, more: Partial<AlertSample> = {}) => {
    const scope = { key: 'site', onsetMs: NOON + onset * MINUTE, withinMs: 3 * MINUTE };
    at(minute, 'probe-silent', target, finding, { scope, ...more });
  };
  return { desk, journal, told, at, silent };
}

describe('probes that fell silent together', () => {
  test('are one message, and one end when the last of them is heard', () => {
    const { desk, told, silent } = aDesk();
    silent(8, 'a', 'holds');
    silent(8, 'b', 'holds', 1);
    silent(20, 'c', 'holds', 2);
    silent(30, 'a', 'over');
    expect(told).toEqual(['probe-silent a active']);
    expect(desk.open().map(({ target }) => target)).toEqual(['a']);
    silent(31, 'b', 'over', 1);
    silent(32, 'c', 'over', 2);
    silent(33, 'a', 'over');
    expect(told).toEqual(['probe-silent a active', 'probe-silent a ended']);
  });

  test('are two messages where they fell silent at two times', () => {
    const { told, silent } = aDesk();
    silent(8, 'a', 'holds');
    silent(20, 'b', 'holds', 12);
    expect(told).toEqual(['probe-silent a active', 'probe-silent b active']);
  });

  test('stay one message over a restart', () => {
    const first = aDesk();
    first.silent(8, 'a', 'holds');
    first.silent(8, 'b', 'holds', 1);
    const second = aDesk(first.journal);
    second.silent(9, 'c', 'holds', 2);
    second.silent(10, 'a', 'over');
    second.silent(11, 'b', 'over', 1);
    second.silent(12, 'c', 'over', 2);
    second.silent(13, 'a', 'over');
    expect(second.told).toEqual(['probe-silent a ended']);
  });

  test('of which the first is taken away go on under the next', () => {
    const { desk, told, silent } = aDesk();
    silent(8, 'a', 'holds');
    silent(8, 'b', 'holds');
    silent(8, 'c', 'holds');
    desk.endFor('a', NOON + 10 * MINUTE);
    silent(12, 'c', 'over');
    silent(13, 'b', 'over');
    expect(told).toEqual([
      'probe-silent a active',
      'probe-silent a ended',
      'probe-silent b active',
      'probe-silent b ended',
    ]);
  });
});

describe('what another alert explains', () => {
  const under = { under: [{ rule: 'service-trouble', target: 'broker' }] } as const;

  test('is not told, and ends with it', () => {
    const { told, at, silent } = aDesk();
    at(0, 'service-trouble', 'broker', 'holds');
    at(2, 'service-trouble', 'broker', 'holds');
    silent(8, 'a', 'holds', 0, under);
    at(20, 'service-trouble', 'broker', 'over');
    at(22, 'service-trouble', 'broker', 'over');
    silent(23, 'a', 'over', 0, under);
    expect(told).toEqual(['service-trouble broker active', 'service-trouble broker ended']);
  });

  test('is told if it goes on after that has ended', () => {
    const { told, at, silent } = aDesk();
    at(0, 'service-trouble', 'broker', 'holds');
    at(2, 'service-trouble', 'broker', 'holds');
    silent(8, 'a', 'holds', 0, under);
    at(20, 'service-trouble', 'broker', 'over');
    at(22, 'service-trouble', 'broker', 'over');
    silent(31, 'a', 'holds', 0, under);
    expect(told).toHaveLength(2);
    silent(32, 'a', 'holds', 0, under);
    silent(40, 'a', 'over', 0, under);
    expect(told.slice(2)).toEqual(['probe-silent a active', 'probe-silent a ended']);
  });

  test('is told if the cause came to nothing', () => {
    const { told, at, silent } = aDesk();
    at(0, 'service-trouble', 'broker', 'holds');
    silent(1, 'a', 'holds', 0, under);
    at(1, 'service-trouble', 'broker', 'between');
    silent(2, 'a', 'holds', 0, under);
    expect(told).toEqual(['probe-silent a active']);
  });

  test('is told if the cause neither comes nor goes', () => {
    const { told, at, silent } = aDesk();
    at(0, 'service-trouble', 'broker', 'holds');
    silent(1, 'a', 'holds', 0, under);
    silent(20, 'a', 'holds', 0, under);
    expect(told).toEqual([]);
    silent(21, 'a', 'holds', 0, under);
    expect(told).toEqual(['probe-silent a active']);
  });
});

describe('an alert that comes and goes', () => {
  test('takes long to end from its third time within days, so that all is one message', () => {
    const { desk, told, at } = aDesk();
    for (const hour of [0, 10, 20, 30, 40]) {
      at(hour * 60, 'service-trouble', 'store', 'holds');
      at(hour * 60 + 2, 'service-trouble', 'store', 'holds');
      at(hour * 60 + 5, 'service-trouble', 'store', 'over');
      at(hour * 60 + 7, 'service-trouble', 'store', 'over');
    }
    expect(told.filter((line) => line.endsWith('active'))).toHaveLength(3 + 2);
    expect(told.filter((line) => line.endsWith('ended'))).toHaveLength(2);
    expect(desk.open()[0]).toMatchObject({ unsteady: true });
    at(40 * 60 + 7 + 24 * 60, 'service-trouble', 'store', 'over');
    expect(told.filter((line) => line.endsWith('ended'))).toHaveLength(3);
  });

  test('is told each time where it is a danger', () => {
    const { told, at } = aDesk();
    for (const hour of [0, 10, 20, 30]) {
      at(hour * 60, 'over-working-pressure', 'one', 'holds');
      at(hour * 60 + 1, 'over-working-pressure', 'one', 'over');
      at(hour * 60 + 6, 'over-working-pressure', 'one', 'over');
    }
    expect(told.filter((line) => line.endsWith('ended'))).toHaveLength(4);
  });

  test('keeps the mute that somebody set, unless it is a danger', () => {
    const { desk, at } = aDesk();
    for (const rule of ['service-trouble', 'over-working-pressure'] as const) {
      at(0, rule, 'x', 'holds');
      at(2, rule, 'x', 'holds');
      desk.mute(`${rule}.x.${NOON}`, NOON + DAY, 'known');
      at(3, rule, 'x', 'over');
      at(9, rule, 'x', 'over');
      at(600, rule, 'x', 'holds');
    }
    expect(desk.open().map(({ rule, mutedUntilMs, mutedBecause }) => [rule, mutedUntilMs, mutedBecause])).toEqual([
      ['service-trouble', NOON + DAY, 'known'],
      ['over-working-pressure', null, null],
    ]);
  });

  test('is told once only where the rule says so', () => {
    const { told, at } = aDesk();
    const carbonated = (minute: number, finding: Finding) => at(minute, 'carbonated', 'batch-1', finding);
    const spell = (minute: number, finding: Finding, minutes: number) => {
      for (let after = 0; after <= minutes; after += 20) carbonated(minute + after, finding);
    };
    spell(0, 'holds', 60);
    spell(100, 'over', 24 * 60);
    spell(3000, 'holds', 60);
    expect(told).toEqual(['carbonated batch-1 active', 'carbonated batch-1 ended']);
  });
});

test('a turn that was kept and perhaps not told is told again at the next start, once', () => {
  const { journal, desk, at } = aDesk();
  at(0, 'over-working-pressure', 'one', 'holds');
  const [episode] = desk.open();
  if (episode === undefined) throw new Error('nothing began');
  journal.saveTurn(episode);
  const second = aDesk(journal);
  second.desk.retell();
  second.desk.retell();
  expect(second.told).toEqual(['over-working-pressure one active']);
});

test('samples of a rule that is off are not looked at', () => {
  const journal = new SqliteJournal(openCatalogueFile(':memory:'));
  const told: Episode[] = [];
  const rule = {
    name: 'leak',
    level: 'attention',
    onDelayMs: 0,
    offDelayMs: 0,
    sampleGapMsMax: HOUR,
    isToldUnsaved: false,
    limits: {},
    rereads: false,
    once: false,
    enabled: false,
  } as const;
  const desk = new AlertDesk(
    journal,
    (episode) => told.push(episode),
    () => rule,
  );
  desk.sample({
    rule: 'leak',
    target: 'one',
    kegId: 'one',
    finding: 'holds',
    atMs: NOON,
    words: WORDS,
    endWords: WORDS,
  });
  expect(told).toEqual([]);
  expect(desk.open()).toEqual([]);
});

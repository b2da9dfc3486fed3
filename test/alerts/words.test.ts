import { describe, expect, test } from 'vitest';
import { episodeId, isOpen, isTold, newEpisode } from '../../src/alerts/episode.ts';
import { findLow, limitOf } from '../../src/alerts/rule.ts';
import { RULES, usualRule } from '../../src/alerts/rules.ts';
import { serviceTroubleWords, serviceWellWords } from '../../src/alerts/service-words.ts';
import {
  coldEnoughWords,
  noLongerColdWords,
  probeHeardWords,
  probeSilentWords,
  readingsKeptAgainWords,
  readingsNotKeptWords,
  readingsStoredAgainWords,
  readingsWaitWords,
  silenceFinding,
} from '../../src/alerts/words.ts';
import { QUANTITY_RULES, type Quantity } from '../../src/domain/quantity.ts';

const units = { temperature: 'Cel', pressure: 'bar' } as const;

describe('findings', () => {
  test.each([
    [2.1, 'holds'],
    [2.2, 'holds'],
    [2.3, 'between'],
    [2.5, 'between'],
    [2.6, 'over'],
  ])('%d with 2.2 to begin and 2.5 to end: %s', (value, finding) => {
    expect(findLow(value, 2.2, 2.5)).toBe(finding);
  });

  test.each([
    ['fresh', 'over'],
    ['late', 'between'],
    ['stale', 'holds'],
  ] as const)('a probe that is %s: silence %s', (freshness, finding) => {
    expect(silenceFinding(freshness)).toBe(finding);
  });
});

describe('words', () => {
  test('cold enough, and no longer', () => {
    expect(coldEnoughWords('Harvest Amber', 1.8, 2, units)).toEqual({
      measured: 1.8,
      limit: 2.2,
      unit: 'Cel',
      message: 'Harvest Amber is cold enough to fill: 1.8\u00a0°C.',
      advice: 'Fill when its other checks agree. Put the bottles into the cold as well.',
    });
    expect(noLongerColdWords('Harvest Amber', 3, 2, units)).toMatchObject({
      message: 'Harvest Amber is no longer cold enough to fill: 3.0\u00a0°C.',
      advice: 'Wait until it is at 2.0\u00a0°C again.',
    });
  });

  test('a silent probe, and one heard again', () => {
    expect(probeSilentWords('beer-temperature', 'Harvest Amber', 725_400, 60_000)).toEqual({
      measured: 725,
      limit: null,
      unit: 's',
      message: 'The beer thermometer of Harvest Amber is silent. It usually speaks every 1 min.',
      advice: 'Look if it has power and network, and if its battery is good.',
    });
    expect(probeSilentWords('ambient-pressure', 'the site', 1000, null).message).toBe(
      'The barometer of the site is silent.',
    );
    expect(probeHeardWords('keg-mass', 'Harvest Amber', 0)).toMatchObject({
      message: 'The keg scale of Harvest Amber is heard again.',
      advice: '',
    });
  });

  test.each(Object.keys(QUANTITY_RULES) as Quantity[])('a probe of %s has a name of its own', (quantity) => {
    const named = probeSilentWords(quantity, 'it', 0, null).message;
    expect(named).toMatch(/^The [A-Za-z0-9 ]+ of it is silent\.$/);
    const others = (Object.keys(QUANTITY_RULES) as Quantity[]).filter((other) => other !== quantity);
    expect(others.map((other) => probeSilentWords(other, 'it', 0, null).message)).not.toContain(named);
  });
});

test('readings that cannot be kept: what is wrong, what to do, and that it is over', () => {
  expect(readingsNotKeptWords('the disk is full')).toMatchObject({
    message: 'New readings cannot be kept: the disk is full.',
    advice: expect.stringMatching(/Make room/),
  });
  expect(readingsKeptAgainWords()).toMatchObject({ message: 'New readings are kept again.', advice: '' });
});

test('readings that wait: what is wrong, how many, and that it is over', () => {
  expect(readingsWaitWords('the store is away', 12)).toMatchObject({
    measured: 12,
    message: 'Readings wait on this disk: the store is away.',
    advice: expect.stringMatching(/They are safe/),
  });
  expect(readingsStoredAgainWords().message).toBe('Readings are stored again.');
});

test('an episode is told of from when it is active, and is open until it has ended', () => {
  const words = coldEnoughWords('x', 1, 2, units);
  const at = { beganAtMs: 5, lastSampleMs: 6 };
  const building = newEpisode(RULES['cold-enough'], 'one', 'one', { kind: 'building', ...at }, words);
  const active = { ...building, state: { kind: 'active', ...at } } as const;
  const ended = { ...building, state: { kind: 'ended', ...at, endedAtMs: 7 } } as const;
  expect(building).toMatchObject({ id: episodeId('cold-enough', 'one', 5), level: 'news', unverified: false });
  expect([building, active, ended].map(isTold)).toEqual([false, true, true]);
  expect([building, active, ended].map(isOpen)).toEqual([true, true, false]);
});

describe('troubles of the service', () => {
  test('are told with their cause, cut where it is long', () => {
    expect(serviceTroubleWords('broker', 'refused').message).toBe('The MQTT broker cannot be reached: refused.');
    const { message, advice } = serviceTroubleWords('broker', 'x'.repeat(500));
    expect(`${message} ${advice}`.length).toBeLessThanOrEqual(178);
    expect(serviceWellWords('clock').message).toBe('The clock works again.');
  });

  test('of a part that does not exist are a mistake of ours', () => {
    expect(() => serviceTroubleWords('cellar', '')).toThrow('no part of the service is called cellar');
    expect(() => limitOf(usualRule('leak'), 'ppm')).toThrow('rule leak has no limit ppm');
  });
});

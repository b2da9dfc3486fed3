import { describe, expect, test } from 'vitest';
import type { DissolvedEstimate } from '../../../src/domain/estimate/types.ts';
import { type NoticeBasis, noticesOf } from '../../../src/domain/notices/notices.ts';
import { anEvent, HOUR, MINUTE, NOON } from '../../support/builders.ts';

const STEP = 5 * MINUTE;
const UNITS = { temperature: 'Cel', pressure: 'kPa', carbonation: 'volumes' } as const;
const CALM: DissolvedEstimate = {
  atMs: NOON,
  low: 1.9,
  volumes: 2.1,
  high: 2.3,
  equilibriumVolumes: 2.4,
  gas: 'on',
  disagreement: null,
  leak: 'none',
  leakProbability: 0.02,
  airKpa: 2,
  probeZeroKpa: 0.5,
  probeZeroPlusMinusKpa: 3,
};

/** Pressures of the last `hours` before noon; `kpaAt` by hours from their beginning, with a noise that repeats. */
const steps = (hours: number, kpaAt: (hours: number) => number) =>
  Array.from({ length: (hours * HOUR) / STEP }, (_, index) => ({
    atMs: NOON - hours * HOUR + index * STEP,
    kpaGauge: kpaAt((index * STEP) / HOUR) + 0.2 * Math.sin(index * 5),
  }));
const basis = (change: Partial<NoticeBasis> = {}): NoticeBasis => ({
  nowMs: NOON,
  dissolved: CALM,
  facts: { gas: 'on', regulatorKpaGauge: 70 },
  events: [],
  steps: steps(24, () => 70),
  units: UNITS,
  ...change,
});
const told = (change: Partial<NoticeBasis> = {}) =>
  noticesOf(basis(change)).map(({ name, message, entry }) => ({
    name,
    message: message.replaceAll('\u00a0', ' '),
    entry,
  }));
const estimate = (change: Partial<DissolvedEstimate>) => ({ dissolved: { ...CALM, ...change } });
const shutAt =
  (hour: number, pace = 3) =>
  (hours: number) =>
    70 - Math.max(0, hours - hour) * pace;

describe('a keg with nothing odd', () => {
  test('has no notice, with an estimate or without', () => {
    expect(told()).toEqual([]);
    expect(told({ dissolved: null, steps: [] })).toEqual([]);
    expect(told({ facts: { gas: 'closed', regulatorKpaGauge: null } })).toEqual([]);
  });
});

describe('gas shut though entered as on', () => {
  test('is told with its time, and names the empty cylinder too', () => {
    const [notice, ...more] = told({ steps: steps(24, shutAt(20)) });
    expect(more).toEqual([]);
    expect(notice?.name).toBe('gas-shut');
    expect(notice?.message).toMatch(
      /^The gas is entered as on, but for 4 h the pressure has been falling, by 12 kPa so far/,
    );
    expect(notice?.message).toContain('Either a valve was shut, or the cylinder ran empty.');
    expect(notice?.entry?.kind).toBe('gas-closed');
    expect(Math.abs((notice?.entry?.atMs ?? 0) - (NOON - 4 * HOUR))).toBeLessThanOrEqual(20 * MINUTE);
  });

  test('is told after the supply came back', () => {
    const [notice] = told({ steps: steps(24, (hours) => (hours > 18 ? 70 : shutAt(12)(hours))) });
    expect(notice?.message).toMatch(
      /12 h ago the pressure began to fall, by 18 kPa, until the supply came back 6 h ago/,
    );
  });

  test('takes the place of the less certain word', () => {
    const both = { steps: steps(24, shutAt(12)), ...estimate({ disagreement: 'open-but-no-gas' }) };
    expect(told(both).map(({ name }) => name)).toEqual(['gas-shut']);
    expect(told(estimate({ disagreement: 'open-but-no-gas' })).map(({ name }) => name)).toEqual(['open-but-no-gas']);
  });

  test.each<[string, Partial<NoticeBasis>]>([
    ['nobody said that it is on', { facts: { gas: 'unknown', regulatorKpaGauge: 70 }, steps: steps(24, shutAt(12)) }],
    ['the fall is too young', { steps: steps(24, shutAt(23, 5)) }],
    ['the fall is too small', { steps: steps(24, shutAt(20, 0.8)) }],
    ['a draw took it at once and it came back', { steps: steps(24, (h) => (h > 20 && h < 20.3 ? 55 : 70)) }],
    ['a vent took it at once', { steps: steps(24, (h) => (h > 20 ? 50 - (h - 20) : 70)) }],
    ['it was never steady before', { steps: steps(24, (h) => 90 - 2 * h) }],
    [
      'the regulator was turned down, and that was entered',
      {
        events: [anEvent(NOON - 4 * HOUR, { kind: 'regulator-set', kpaGauge: 55 })],
        facts: { gas: 'on', regulatorKpaGauge: 55 },
        steps: steps(24, shutAt(20)),
      },
    ],
    ['it swings with the compressor', { steps: steps(24, (h) => 70 + 2.5 * Math.sin(h * 12)) }],
    [
      'it comes down to the setting from where a warm keg went',
      { steps: steps(24, (h) => (h < 15 ? 95 : Math.max(70, 95 - 4 * (h - 15)))) },
    ],
    [
      'the same, with no setting known',
      {
        facts: { gas: 'on', regulatorKpaGauge: null },
        steps: steps(24, (h) => (h < 3 ? 70 : h < 15 ? 95 : Math.max(70, 95 - 4 * (h - 15)))),
      },
    ],
    [
      'it sinks and wavers back',
      { steps: steps(24, (h) => (h < 18 ? 70 : h < 20 ? 70 - 4 * (h - 18) : h < 20.3 ? 64.5 : 62)) },
    ],
    ['the probe is silent', { steps: steps(24, shutAt(12)).filter(({ atMs }) => atMs < NOON - 11 * HOUR) }],
  ])('is not told where %s', (_name, change) => {
    expect(told(change)).toEqual([]);
  });

  test('is told without a setting', () => {
    const facts = { gas: 'on', regulatorKpaGauge: null } as const;
    expect(told({ facts, steps: steps(24, shutAt(20)) }).map(({ name }) => name)).toEqual(['gas-shut']);
  });
});

describe('gas opened though entered as closed', () => {
  const closed = anEvent(NOON - 20 * HOUR, { kind: 'gas-check-started' });
  const facts = { gas: 'closed', regulatorKpaGauge: 70 } as const;
  /** Closed 20 h ago; 6 h ago it jumps to a pressure. */
  const jumped = (toKpa: number) => (hours: number) => (hours < 4 ? 70 : hours < 18 ? 70 - 1.5 * (hours - 4) : toKpa);

  test('is told with its time', () => {
    const [notice, ...more] = told({ facts, events: [closed], steps: steps(24, jumped(70)) });
    expect(more).toEqual([]);
    expect(notice?.name).toBe('gas-opened');
    expect(notice?.message).toMatch(/^The gas is entered as closed, but 6 h ago the pressure jumped up by 21 kPa/);
    expect(notice?.entry).toEqual({ kind: 'gas-opened', atMs: NOON - 6 * HOUR });
  });

  test('is told by the setting where the pressure before was not heard', () => {
    const late = steps(24, jumped(72)).filter(({ atMs }) => atMs > NOON - 15 * HOUR);
    expect(told({ facts, events: [closed], steps: late }).map(({ name }) => name)).toEqual(['gas-opened']);
    const unset = { gas: 'closed', regulatorKpaGauge: null } as const;
    expect(told({ facts: unset, events: [closed], steps: late })).toEqual([]);
  });

  test.each<[string, Partial<NoticeBasis>]>([
    ['it rises gently, as in a warming keg', { steps: steps(24, (h) => (h < 4 ? 70 : 40 + 1.5 * h)) }],
    ['it jumps to what is not the supply', { steps: steps(24, jumped(95)) }],
    ['it jumps and falls again', { steps: steps(24, (h) => (h > 18 ? 70 - 6 * (h - 18) : jumped(70)(h))) }],
    [
      'the keg was shaken then',
      { events: [closed, anEvent(NOON - 6 * HOUR, { kind: 'keg-shaken', seconds: 60 })], steps: steps(24, jumped(70)) },
    ],
    ['it has just happened', { steps: steps(24, (h) => (h > 23.7 ? 70 : jumped(49)(h))) }],
  ])('is not told where %s', (_name, change) => {
    expect(told({ facts, events: [closed], ...change })).toEqual([]);
  });

  test('a keg that holds like an open valve is told so', () => {
    const [notice] = told({ facts, events: [closed], ...estimate({ disagreement: 'closed-but-holds' }) });
    expect(notice).toMatchObject({ name: 'closed-but-holds', entry: null });
    expect(notice?.message).toContain('at about 2.10 volumes');
  });
});

describe('what the estimate believes', () => {
  test.each<[string, Partial<NoticeBasis>, RegExp]>([
    [
      'leak-suspected',
      estimate({ leak: 'suspected', leakProbability: 0.5 }),
      /: 50 % by this estimate\. A longer gas check would tell\.$/,
    ],
    ['leak-likely', estimate({ leak: 'likely', leakProbability: 0.999 }), /: 99 % by this estimate\.$/],
    ['probe-zero', estimate({ probeZeroKpa: 6, probeZeroPlusMinusKpa: 2 }), /read 6 kPa too high \(±2 kPa\)/],
    ['probe-zero', estimate({ probeZeroKpa: -6, probeZeroPlusMinusKpa: 2 }), /read 6 kPa too low/],
    ['air-in-headspace', estimate({ airKpa: 40 }), /^About 40 kPa of what the gauge shows seems to be air/],
    [
      'open-but-no-gas',
      { ...estimate({ disagreement: 'open-but-no-gas' }), facts: { gas: 'on', regulatorKpaGauge: 70 } },
      /below the 70 kPa entered for the regulator/,
    ],
    [
      'open-but-no-gas',
      { ...estimate({ disagreement: 'open-but-no-gas' }), facts: { gas: 'on', regulatorKpaGauge: null } },
      /far below the setting/,
    ],
  ])('%s', (name, change, words) => {
    const [notice, ...more] = told(change);
    expect(more).toEqual([]);
    expect(notice?.name).toBe(name);
    expect(notice?.message).toMatch(words);
  });

  test('a zero error that is only a guess is not told', () => {
    expect(told(estimate({ probeZeroKpa: 4, probeZeroPlusMinusKpa: 5 }))).toEqual([]);
  });
});

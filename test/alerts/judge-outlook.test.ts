import { describe, expect, test } from 'vitest';
import { judgeOutlook } from '../../src/alerts/judge-outlook.ts';
import { coarseView, type KegView, kegView, type OutlookView } from '../../src/alerts/keg-view.ts';
import type { RuleName } from '../../src/alerts/rule.ts';
import { usualRule } from '../../src/alerts/rules.ts';
import { kegFactsAt } from '../../src/domain/keg-facts.ts';
import { kegState } from '../../src/domain/keg-state.ts';
import { aBatch, aKeg, aSite, aSupply, HOUR, NOON } from '../support/builders.ts';

const UNITS = aSite().units;

function anOutlook(change: Partial<OutlookView> = {}): OutlookView {
  return {
    volumes: 2.2,
    insideProbability: 0.5,
    aboveProbability: 0.01,
    passesTopInHours: null,
    leakProbability: 0.02,
    ...change,
  };
}

function aView(change: Partial<KegView> = {}): KegView {
  return {
    kegId: 'one',
    name: 'Harvest Amber',
    supplyId: 'gas',
    placeId: 'fridge',
    batchId: 'b1',
    atMs: NOON,
    target: { low: 2, high: 2.5 },
    verdict: 'wait',
    headline: 'Wait about 2 days.',
    equilibriumVolumes: 2.4,
    advisedKpaGauge: 62,
    outlook: anOutlook(),
    notices: [],
    ...change,
  };
}

const say = (rule: RuleName, change: Partial<KegView>) => {
  const samples = judgeOutlook(usualRule, aView(change), UNITS).filter((one) => one.rule === rule);
  expect(samples.length).toBeLessThanOrEqual(1);
  return samples[0];
};
const finding = (rule: RuleName, change: Partial<KegView>) => say(rule, change)?.finding;
const withOutlook = (change: Partial<OutlookView>) => ({ outlook: anOutlook(change) });

describe('what the estimate says', () => {
  test.each([
    ['carbonated', withOutlook({ insideProbability: 0.9 }), 'holds'],
    ['carbonated', withOutlook({ insideProbability: 0.89 }), 'between'],
    ['carbonated', withOutlook({ insideProbability: 0.39 }), 'over'],
    ['carbonated', { outlook: null }, 'unknown'],
    ['over-window', withOutlook({ aboveProbability: 0.9 }), 'holds'],
    ['over-window', withOutlook({ aboveProbability: 0.5 }), 'between'],
    ['over-window', withOutlook({ aboveProbability: 0.1 }), 'over'],
    ['over-window', { batchId: null, outlook: null }, 'over'],
    ['leak', withOutlook({ leakProbability: 0.9 }), 'holds'],
    ['leak', withOutlook({ leakProbability: 0.5 }), 'between'],
    ['leak', withOutlook({ leakProbability: 0.1 }), 'over'],
    ['will-pass-window', { ...withOutlook({ passesTopInHours: 24 }), equilibriumVolumes: 2.7 }, 'holds'],
    ['will-pass-window', { ...withOutlook({ passesTopInHours: 30 }), equilibriumVolumes: 2.7 }, 'between'],
    ['will-pass-window', { ...withOutlook({ passesTopInHours: 61 }), equilibriumVolumes: 2.7 }, 'over'],
    ['will-pass-window', { ...withOutlook({ passesTopInHours: 0, volumes: 2.6 }), equilibriumVolumes: 2.4 }, 'holds'],
    ['will-pass-window', withOutlook({ passesTopInHours: null }), 'over'],
  ] as const)('%s with %o: %s', (rule, change, wanted) => {
    expect(finding(rule, change)).toBe(wanted);
  });

  test('a risk that comes from not knowing alone is none, where the beer settles inside', () => {
    expect(finding('will-pass-window', withOutlook({ passesTopInHours: 5 }))).toBe('over');
    expect(finding('will-pass-window', { ...withOutlook({ passesTopInHours: 5 }), equilibriumVolumes: null })).toBe(
      'between',
    );
  });

  test.each([
    [null, 'holds'],
    // The plan turns the pressure down before the beer passes its top; later than that; and before now, so that it should be done.
    [NOON + 9 * HOUR, 'over'],
    [NOON, 'over'],
    [NOON + 10 * HOUR, 'holds'],
    [NOON - 1, 'holds'],
  ] as const)('what a plan turns down in time does not pass its window: at %j %s', (turnsDownAtMs, wanted) => {
    const soon = { ...withOutlook({ passesTopInHours: 10 }), equilibriumVolumes: 2.7 };
    expect(finding('will-pass-window', { ...soon, turnsDownAtMs })).toBe(wanted);
  });

  test('being carbonated is watched for each batch, and for none in an empty keg', () => {
    expect(say('carbonated', {})).toMatchObject({ target: 'b1', kegId: 'one' });
    expect(say('carbonated', { batchId: null })).toBeUndefined();
  });
});

describe('the verdict', () => {
  test.each([
    ['ready', 'holds'],
    ['wait', 'over'],
    ['act', 'over'],
    ['unknown', 'unknown'],
    [null, 'over'],
  ] as const)('of %s: ready %s', (verdict, wanted) => {
    expect(finding('ready-to-fill', { verdict })).toBe(wanted);
  });

  test('of an empty keg is not unknown but over', () => {
    expect(finding('ready-to-fill', { verdict: 'unknown', batchId: null })).toBe('over');
    expect(say('ready-to-fill', {})?.endWords.advice).toBe('Wait about 2 days.');
  });
});

describe('notices', () => {
  test.each([
    ['gas-shut', 'pressure-falling'],
    ['open-but-no-gas', 'pressure-falling'],
    ['probe-zero', 'probe-zero'],
    ['closed-but-holds', 'entry-contradicts-probes'],
    ['gas-opened', 'entry-contradicts-probes'],
  ] as const)('%s is told as %s', (name, rule) => {
    expect(finding(rule, { notices: [{ name }] })).toBe('holds');
    expect(finding(rule, { notices: [{ name, isOver: true }] })).toBe('over');
    expect(finding(rule, { notices: null })).toBe('unknown');
    expect(finding(rule, { notices: null, batchId: null })).toBe('over');
    expect(finding(rule, { notices: [{ name: 'air-in-headspace' }] })).toBe('over');
  });

  test('of kegs on one supply are one cause', () => {
    expect(say('pressure-falling', {})?.scope?.key).toBe('supply/gas');
    expect(say('pressure-falling', {})?.under).toEqual([{ rule: 'pressure-falling', target: 'gas' }]);
  });
});

test('every message with its advice fits 178 characters, in all units', () => {
  for (const units of [UNITS, { temperature: '[degF]', pressure: '[psi]', carbonation: 'g/L' } as const]) {
    for (const advisedKpaGauge of [62, null]) {
      for (const name of ['closed-but-holds', 'gas-opened'] as const) {
        const outlook = anOutlook({ passesTopInHours: 23.4 });
        const view = aView({ name: 'Old Button Tin Export Porter', advisedKpaGauge, notices: [{ name }], outlook });
        for (const { rule, words } of judgeOutlook(usualRule, view, units)) {
          expect({ rule, length: `${words.message} ${words.advice}`.length <= 178 }).toEqual({ rule, length: true });
          expect(words.message).toMatch(/^[A-Z].*[.]$/);
        }
      }
    }
  }
});

test('a time that is nearly there is spoken of as soon', () => {
  const change = { ...withOutlook({ passesTopInHours: 0.4 }), equilibriumVolumes: 2.7 };
  expect(say('will-pass-window', change)?.words.message).toBe(
    'Harvest Amber may go past its window (2.50\u00a0volumes) soon.',
  );
});

describe('a view of a keg', () => {
  const state = (batch: Parameters<typeof aBatch>[0] | null) => {
    const keg = aKeg();
    return kegState(
      {
        keg,
        adopted: true,
        site: aSite(),
        supply: aSupply(),
        batch: batch === null ? null : aBatch(batch),
        facts: kegFactsAt([], NOON),
        inputs: [],
        outlook: null,
        gasCheck: null,
        notices: [],
        holes: [],
        passed: new Set(),
        planned: null,
      },
      NOON,
    );
  };

  test('speaks of the beer, or of the keg while it is empty', () => {
    expect(kegView(state({}))).toMatchObject({ name: 'Harvest Amber', batchId: 'b1', outlook: null, notices: null });
    expect(kegView(state(null))).toMatchObject({ name: 'one', batchId: null, turnsDownAtMs: null });
  });

  test('knows when the plan of the next fill turns the pressure down', () => {
    const planned = { endsAtMs: NOON + 20 * HOUR, turnsDownAtMs: NOON + 9 * HOUR };
    expect(kegView({ ...state({}), planned })).toMatchObject({ turnsDownAtMs: NOON + 9 * HOUR });
  });

  test('is kept as coarse as rules need it', () => {
    const outlook = anOutlook({ volumes: 2.2345, passesTopInHours: 12.7, insideProbability: 0.123 });
    const notices = [{ name: 'gas-shut', isOver: true }, { name: 'probe-zero' }] as const;
    expect(coarseView(aView({ outlook, notices, equilibriumVolumes: 2.4567 }))).toMatchObject({
      headline: '',
      equilibriumVolumes: 2.46,
      outlook: { volumes: 2.23, passesTopInHours: 13, insideProbability: 0.12 },
      notices,
    });
    expect(coarseView(aView({ outlook: null, notices: null }))).toMatchObject({ outlook: null, notices: null });
  });
});

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Finding, findLow, type Rule } from '../../src/alerts/rule.ts';
import { RULES } from '../../src/alerts/rules.ts';
import { type AlertState, QUIET, stepAlert } from '../../src/alerts/step.ts';
import { coldEnoughLimits } from '../../src/alerts/words.ts';
import { MINUTE, NOON } from '../support/builders.ts';
import { type NaiveSample, naiveStory } from './naive-alert.ts';

const COLD_ENOUGH = RULES['cold-enough'];
const PROBE_SILENT = RULES['probe-silent'];
const RULE: Rule = { ...COLD_ENOUGH, onDelayMs: 100, offDelayMs: 50, sampleGapMsMax: 60 };

/** Runs `time finding` pairs through a rule; gives the state after each. */
function run(rule: Rule, ...samples: readonly (readonly [number, Finding])[]): AlertState[] {
  let state: AlertState = QUIET;
  return samples.map(([atMs, finding]) => {
    state = stepAlert(rule, state, finding, atMs);
    return state;
  });
}
const kinds = (...samples: readonly (readonly [number, Finding])[]) => run(RULE, ...samples).map(({ kind }) => kind);

describe('an alert', () => {
  test('builds while its condition holds, and is active after the on-delay', () => {
    expect(kinds([0, 'holds'], [50, 'holds'], [99, 'holds'], [100, 'holds'])).toEqual([
      'building',
      'building',
      'building',
      'active',
    ]);
  });

  test('stays quiet as long as its condition does not hold', () => {
    expect(kinds([0, 'over'], [1, 'between'], [2, 'over'])).toEqual(['quiet', 'quiet', 'quiet']);
  });

  test.each(['between', 'over'] as const)('stops building at once when the condition is %s', (finding) => {
    expect(kinds([0, 'holds'], [50, finding], [60, 'holds'], [110, 'holds'])).toEqual([
      'building',
      'quiet',
      'building',
      'building',
    ]);
  });

  test('begins to build anew after a gap without samples, which proves nothing', () => {
    const states = run(RULE, [0, 'holds'], [60, 'holds'], [121, 'holds'], [181, 'holds'], [221, 'holds']);
    expect(states.map(({ kind }) => kind)).toEqual(['building', 'building', 'building', 'building', 'active']);
    expect(states.at(-1)).toEqual({ kind: 'active', beganAtMs: 121, lastSampleMs: 221 });
  });

  test('clears for the off-delay, then has ended', () => {
    const states = run(RULE, [0, 'holds'], [50, 'holds'], [100, 'holds'], [110, 'over'], [159, 'over'], [160, 'over']);
    expect(states.slice(3)).toEqual([
      { kind: 'clearing', beganAtMs: 0, lastSampleMs: 110, clearingSinceMs: 110 },
      { kind: 'clearing', beganAtMs: 0, lastSampleMs: 159, clearingSinceMs: 110 },
      { kind: 'ended', beganAtMs: 0, lastSampleMs: 160, endedAtMs: 160 },
    ]);
  });

  test.each(['holds', 'between'] as const)('that clears is active again when the condition is %s', (finding) => {
    const states = run(RULE, [0, 'holds'], [50, 'holds'], [100, 'holds'], [110, 'over'], [120, finding], [130, 'over']);
    expect(states.slice(-2)).toEqual([
      { kind: 'active', beganAtMs: 0, lastSampleMs: 120 },
      { kind: 'clearing', beganAtMs: 0, lastSampleMs: 130, clearingSinceMs: 130 },
    ]);
  });

  test('that is active stays so between its limits, and however long nothing is heard', () => {
    const states = run(RULE, [0, 'holds'], [50, 'holds'], [100, 'holds'], [200, 'between'], [99_999, 'between']);
    expect(states.slice(2).map(({ kind }) => kind)).toEqual(['active', 'active', 'active']);
  });

  test('that has ended is another one when its condition holds again', () => {
    const ended = { kind: 'ended', beganAtMs: 0, lastSampleMs: 160, endedAtMs: 160 } as const;
    expect(stepAlert(RULE, ended, 'over', 170)).toEqual(QUIET);
    expect(stepAlert(RULE, ended, 'holds', 170)).toEqual({ kind: 'building', beganAtMs: 170, lastSampleMs: 170 });
    expect(stepAlert(RULE, ended, 'holds', 160)).toBe(ended);
  });

  test.each<AlertState>([
    { kind: 'building', beganAtMs: 0, lastSampleMs: 50 },
    { kind: 'active', beganAtMs: 0, lastSampleMs: 50 },
    { kind: 'clearing', beganAtMs: 0, lastSampleMs: 50, clearingSinceMs: 40 },
    { kind: 'ended', beganAtMs: 0, lastSampleMs: 50, endedAtMs: 50 },
  ])('that is $kind is changed by no sample that comes late or again', (state) => {
    for (const finding of ['holds', 'between', 'over'] as const) {
      expect(stepAlert(RULE, state, finding, 50)).toBe(state);
      expect(stepAlert(RULE, state, finding, 10)).toBe(state);
    }
  });

  test('without delays begins and ends with single samples', () => {
    expect(run(PROBE_SILENT, [0, 'holds'], [1, 'over']).map(({ kind }) => kind)).toEqual(['active', 'ended']);
  });
});

describe('cold enough', () => {
  const fill = coldEnoughLimits(2);
  const cold = (...samples: readonly (readonly [number, number])[]) =>
    run(
      COLD_ENOUGH,
      ...samples.map(([minute, beerC]) => {
        return [NOON + minute * MINUTE, findLow(beerC, fill.beginAtC, fill.endAboveC)] as const;
      }),
    ).map(({ kind }) => kind);

  test('begins at the fill temperature + 0.2 held for ten minutes of samples', () => {
    expect(fill).toEqual({ beginAtC: 2.2, endAboveC: 2.5 });
    expect(cold([0, 2.2], [5, 2.2], [9.99, 2.1], [10, 2.2])).toEqual(['building', 'building', 'building', 'active']);
  });

  test('does not begin above it', () => {
    expect(cold([0, 2.21], [5, 2.21], [20, 2.21])).toEqual(['quiet', 'quiet', 'quiet']);
  });

  test('one warmer sample lets the ten minutes begin anew', () => {
    expect(cold([0, 2.1], [9, 2.3], [10, 2.1], [19, 2.1], [20, 2.1])).toEqual([
      'building',
      'quiet',
      'building',
      'building',
      'active',
    ]);
  });

  test('ends above the fill temperature + 0.5, not at it', () => {
    expect(cold([0, 2], [10, 2], [11, 2.4], [12, 2.5], [13, 2.51])).toEqual([
      'building',
      'active',
      'active',
      'active',
      'ended',
    ]);
  });

  test('two samples half an hour apart prove ten minutes; a longer silence does not', () => {
    expect(cold([0, 2], [30, 2])).toEqual(['building', 'active']);
    expect(cold([0, 2], [30.01, 2], [40.01, 2])).toEqual(['building', 'building', 'active']);
  });
});

describe('whatever the samples', () => {
  const rules = fc.constantFrom(RULE, COLD_ENOUGH, PROBE_SILENT, { ...RULE, offDelayMs: 0 }, { ...RULE, onDelayMs: 0 });
  const findings = fc.constantFrom<Finding>('holds', 'holds', 'between', 'over');
  /** Steps of time that meet each rule's delays and gaps; now and then one goes back. */
  const steps = fc
    .integer({ min: -1, max: 5 })
    .chain((step) => fc.constantFrom(step * 10, step * 25, step * 5 * MINUTE, step * 12 * MINUTE));
  const stories = fc.array(fc.record({ step: steps, finding: findings }), { maxLength: 60 }).map((list) => {
    let atMs = NOON;
    return list.map(({ step, finding }): NaiveSample => {
      atMs += step;
      return { atMs, finding };
    });
  });

  test('it tells the same story as reading the whole list', () => {
    fc.assert(
      fc.property(rules, stories, (rule, samples) => {
        let state: AlertState = QUIET;
        let lastMs = Number.NEGATIVE_INFINITY;
        const episodes: { beganAtMs: number; endedAtMs: number | null }[] = [];
        const inTime: NaiveSample[] = [];
        for (const sample of samples) {
          // A quiet alert remembers no time; late samples are only known as such while something is going on.
          if (sample.atMs <= lastMs && state.kind === 'quiet') continue;
          lastMs = Math.max(lastMs, sample.atMs);
          inTime.push(sample);
          const before: AlertState = state;
          state = stepAlert(rule, before, sample.finding, sample.atMs);
          if (state.kind === 'active' && before.kind !== 'active' && before.kind !== 'clearing') {
            episodes.push({ beganAtMs: state.beganAtMs, endedAtMs: null });
          }
          if (state.kind === 'ended' && before.kind !== 'ended') {
            episodes.push({ ...(episodes.pop() ?? { beganAtMs: Number.NaN }), endedAtMs: state.endedAtMs });
          }
        }
        const building = state.kind === 'building' ? state.beganAtMs : null;
        expect({ episodes, buildingSinceMs: building }).toEqual(naiveStory(rule, inTime));
      }),
      { numRuns: 500 },
    );
  });

  test('nothing is active without having begun, nothing ends without having been active, times never run back', () => {
    fc.assert(
      fc.property(rules, stories, (rule, samples) => {
        let state: AlertState = QUIET;
        for (const { atMs, finding } of samples) {
          const before: AlertState = state;
          state = stepAlert(rule, before, finding, atMs);
          if (state.kind === 'clearing') expect(['active', 'clearing']).toContain(before.kind);
          if (state.kind === 'ended' && state !== before) expect(['active', 'clearing']).toContain(before.kind);
          if (state.kind === 'quiet') expect(['quiet', 'building', 'ended']).toContain(before.kind);
          if (state.kind === 'active')
            expect(state.lastSampleMs - state.beganAtMs).toBeGreaterThanOrEqual(rule.onDelayMs);
          if (state.kind !== 'quiet' && before.kind !== 'quiet' && before.kind !== 'ended') {
            expect(state.lastSampleMs).toBeGreaterThanOrEqual(before.lastSampleMs);
          }
        }
      }),
    );
  });
});

test('every rule is found under its own name', () => {
  expect(Object.entries(RULES).every(([name, rule]) => rule.name === name)).toBe(true);
});

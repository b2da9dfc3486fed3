import { describe, expect, test } from 'vitest';
import { LATE_MS, memoryOf, NOTHING_REMEMBERED, rememberSample, resumedMemory } from '../../src/alerts/memory.ts';
import type { Finding, Rule } from '../../src/alerts/rule.ts';
import { HOUR, MINUTE } from '../support/builders.ts';

const RULE: Rule = {
  name: 'cold-enough',
  level: 'news',
  onDelayMs: 10 * MINUTE,
  offDelayMs: 0,
  sampleGapMsMax: 30 * MINUTE,
  isToldUnsaved: false,
};

/** Runs `minute finding` pairs in the order in which they come; gives where it stands and all turns on the way. */
function run(...samples: readonly (readonly [number, Finding])[]) {
  let memory = NOTHING_REMEMBERED;
  const turns: string[] = [];
  for (const [minute, finding] of samples) {
    const step = rememberSample(RULE, memory, finding, minute * MINUTE);
    memory = step.memory;
    turns.push(...step.turns.map(({ kind }) => kind));
  }
  return { memory, turns, state: memory.state };
}

describe('samples that come late', () => {
  test('after a newer one count as if they had come in time', () => {
    const { state } = run([30, 'holds'], [18, 'holds'], [22, 'holds']);
    expect(state).toEqual({ kind: 'active', beganAtMs: 18 * MINUTE, lastSampleMs: 30 * MINUTE });
  });

  test('break what seemed to build up', () => {
    const { state } = run([0, 'holds'], [8, 'holds'], [4, 'over'], [12, 'holds']);
    expect(state).toEqual({ kind: 'building', beganAtMs: 8 * MINUTE, lastSampleMs: 12 * MINUTE });
  });

  test('tell of an episode that began and ended meanwhile', () => {
    const { turns, state } = run([60, 'over'], [40, 'holds'], [51, 'holds']);
    expect(turns.slice(-3)).toEqual(['building', 'active', 'ended']);
    expect(state).toEqual({
      kind: 'ended',
      beganAtMs: 40 * MINUTE,
      lastSampleMs: 60 * MINUTE,
      endedAtMs: 60 * MINUTE,
    });
  });

  test('take nothing back that was told', () => {
    const active = run([0, 'holds'], [10, 'holds']);
    expect(rememberSample(RULE, active.memory, 'over', 5 * MINUTE)).toEqual({ memory: active.memory, turns: [] });
    const ended = run([0, 'holds'], [10, 'holds'], [12, 'over'], [20, 'between']);
    expect(rememberSample(RULE, ended.memory, 'holds', 11 * MINUTE).turns).toEqual([]);
    expect(rememberSample(RULE, ended.memory, 'holds', 15 * MINUTE).turns.map(({ kind }) => kind)).toEqual([
      'building',
      'quiet',
    ]);
  });

  test('of a moment that is known, or from very long ago, change nothing', () => {
    const { memory } = run([0, 'between'], [10, 'between'], [200, 'between']);
    expect(memory.recent).toEqual([{ atMs: 200 * MINUTE, finding: 'between' }]);
    expect(rememberSample(RULE, memory, 'holds', 200 * MINUTE)).toEqual({ memory, turns: [] });
    expect(rememberSample(RULE, memory, 'holds', 10 * MINUTE)).toEqual({ memory, turns: [] });
    expect(200 * MINUTE - LATE_MS).toBeGreaterThan(10 * MINUTE);
  });
});

test('only so many samples are remembered, however fast they come', () => {
  let memory = NOTHING_REMEMBERED;
  for (let second = 0; second < 2000; second += 1) memory = rememberSample(RULE, memory, 'over', second * 1000).memory;
  expect(memory.recent.length).toBeLessThanOrEqual(400);
  expect(memory.baseMs).toBe(1599_000);
});

describe('after a restart', () => {
  test('what builds is known by its first and last sample', () => {
    const building = { kind: 'building', beganAtMs: 5 * MINUTE, lastSampleMs: 9 * MINUTE } as const;
    const resumed = resumedMemory(RULE, building);
    expect(rememberSample(RULE, resumed, 'holds', 15 * MINUTE).memory.state.kind).toBe('active');
    expect(rememberSample(RULE, resumed, 'over', 7 * MINUTE).memory.state).toMatchObject({ beganAtMs: 9 * MINUTE });
    const single = { ...building, lastSampleMs: 5 * MINUTE };
    expect(resumedMemory(RULE, single).recent).toHaveLength(1);
  });

  test('what builds for longer than a gap, or has begun, goes on from where it stood', () => {
    const long = { kind: 'building', beganAtMs: 0, lastSampleMs: HOUR } as const;
    expect(resumedMemory(RULE, long)).toEqual(memoryOf(long));
    const active = { kind: 'active', beganAtMs: 0, lastSampleMs: HOUR } as const;
    expect(resumedMemory(RULE, active)).toEqual(memoryOf(active));
  });
});

/**
 * Aim: moves of the gas that nobody entered are found in time, and nothing else is taken for one.
 * Method: simulated kegs with regulators that stick and droop, looked at every hour with what was known then.
 */
import { describe, expect, test } from 'vitest';
import { replayEvents } from '../../../src/app/replay-feed.ts';
import { STEP_MS } from '../../../src/domain/clean/step.ts';
import { kegFactsAt } from '../../../src/domain/keg-facts.ts';
import { TrackInputs, trackReading } from '../../../src/domain/keg-track-inputs.ts';
import { findGasOpened, findGasShut } from '../../../src/domain/notices/gas-moves.ts';
import { defaultProbe } from '../../../src/domain/probe.ts';
import { record } from '../../../src/simulate/situations/catalogue.ts';
import type { Situation } from '../../../src/simulate/situations/situation.ts';
import { aReading, DAY, HOUR } from '../../support/builders.ts';
import { situationNamed } from '../../support/simulated-world.ts';

interface Told {
  readonly kind: 'shut' | 'opened';
  /** Hours after the filling: when it was first told, and when it is said to have happened. */
  readonly toldAt: number;
  readonly happenedAt: number;
}

const PROBE = defaultProbe({ kind: 'keg', id: 'one' }, 'headspace-pressure');

/** What is told, each kind once, hour by hour. */
function watch(situation: Situation, seed: number, days: number): Told[] {
  const { startMs, endMs, messages, events } = record(situation, seed, DAY, { days, everyMs: STEP_MS });
  const inputs = new TrackInputs();
  for (const { topic, payload } of messages) {
    if (topic !== 'probes/one/headspace-pressure') continue;
    const { value, time } = JSON.parse(payload);
    const reading = trackReading(PROBE, aReading(PROBE.probeId, Date.parse(time), value));
    if (reading !== null) inputs.add(reading);
  }
  const steps: { atMs: number; kpaGauge: number }[] = [];
  for (let atMs = startMs; atMs < endMs; atMs += STEP_MS) {
    const kpaGauge = inputs.step(atMs, 101.325, false).headspaceKpaGauge;
    if (kpaGauge !== null) steps.push({ atMs, kpaGauge });
  }
  const entered = replayEvents('one', events);
  const told = new Map<string, Told>();
  const tell = (kind: Told['kind'], nowMs: number, atMs: number) => {
    const hours = (ms: number) => (ms - startMs) / HOUR;
    if (!told.has(kind)) told.set(kind, { kind, toldAt: hours(nowMs), happenedAt: hours(atMs) });
  };
  for (let nowMs = startMs + HOUR; nowMs <= endMs; nowMs += HOUR) {
    const { gas, regulatorKpaGauge } = kegFactsAt(entered, nowMs);
    const known = steps.filter(({ atMs }) => atMs < nowMs && atMs > nowMs - DAY);
    const shut = gas === 'on' ? findGasShut(known, entered, regulatorKpaGauge, nowMs) : null;
    const opened = gas === 'closed' ? findGasOpened(known, entered, regulatorKpaGauge, nowMs) : null;
    if (shut !== null) tell('shut', nowMs, shut.sinceMs);
    if (opened !== null) tell('opened', nowMs, opened.atMs);
  }
  return [...told.values()];
}

const openedNotEntered: Situation = {
  name: 'opened-not-entered',
  group: 'mistakes',
  about: 'The gas is closed, and opened again without a word.',
  write: (script) => {
    script.happen(40, { kind: 'close-gas' });
    script.enter(40, { kind: 'gas-closed' });
    script.happen(46, { kind: 'open-gas' });
  },
};

describe('found', () => {
  test.each([1, 2])('gas shut for a day and not entered, within two hours (seed %d)', (seed) => {
    const [found, ...more] = watch(situationNamed('closing-not-entered'), seed, 5);
    expect(more).toEqual([]);
    expect(found?.kind).toBe('shut');
    expect(Math.abs((found?.happenedAt ?? 0) - 60)).toBeLessThan(0.5);
    expect(found?.toldAt).toBeLessThanOrEqual(62.5);
  });

  test.each([1, 2])('gas opened and not entered, within an hour (seed %d)', (seed) => {
    const [found, ...more] = watch(openedNotEntered, seed, 3);
    expect(more).toEqual([]);
    expect(found?.kind).toBe('opened');
    // A jump is believed at the third reading, and one comes every five minutes here.
    expect(Math.abs((found?.happenedAt ?? 0) - 46)).toBeLessThan(0.3);
    expect(found?.toldAt).toBeLessThanOrEqual(47.5);
  });

  test('a cylinder that ran empty looks alike', () => {
    expect(watch(situationNamed('cylinder-empty'), 1, 3).map(({ kind }) => kind)).toEqual(['shut']);
  });
});

describe('not taken for one', () => {
  test.each([
    ['draws-not-entered', 8],
    ['door-open', 6],
    ['fridge-failure', 8],
    ['bad-messages', 4],
    ['regulator-creep', 7],
    ['high-start-lowered', 4],
    ['shaken-on-gas', 4],
    ['check-12h-days-2-6', 4],
    ['vented-down', 4],
    ['set-and-forget-3c', 4],
  ])('%s', (name, days) => {
    expect(watch(situationNamed(name), 2, days)).toEqual([]);
  });
});

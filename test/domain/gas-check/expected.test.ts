/**
 * Aim: what a check would tell is foreseen well enough to advise by.
 * Method: simulated kegs, whose laws are not the estimate's: the band foreseen before a check against the one that came.
 */
import { describe, expect, test } from 'vitest';
import { estimateModel } from '../../../src/app/estimate-model.ts';
import { replayEvents } from '../../../src/app/replay-feed.ts';
import { STEP_MS, stepStart } from '../../../src/domain/clean/step.ts';
import { Estimator } from '../../../src/domain/estimate/estimator.ts';
import { type Expectation, expectations, type PresentKeg } from '../../../src/domain/gas-check/expected.ts';
import { KegTrack } from '../../../src/domain/keg-track.ts';
import type { EstimateModel } from '../../../src/domain/keg-track-types.ts';
import { record } from '../../../src/simulate/situations/catalogue.ts';
import { DAY } from '../../support/builders.ts';
import { situationNamed } from '../../support/simulated-world.ts';
import { carbonating, walkOn } from '../estimate/kegs.ts';

const PRESENT: PresentKeg = {
  beerC: 4,
  ambientKpaAbsolute: 101.325,
  ambientFromBarometer: false,
  co2Ratio: 1,
  runningHours: null,
};

function foresee(estimate: Parameters<typeof expectations>[0], change: Partial<PresentKeg> = {}) {
  const parts = expectations(estimate, { ...PRESENT, ...change });
  let count = 1;
  let part = parts.next();
  for (; part.done !== true; part = parts.next()) count += 1;
  return { expected: part.value, parts: count };
}
/** A simulated keg with what is estimated at the step in which its first check begins. */
function checkedKeg(name: string, seed: number) {
  const { events, messages } = record(situationNamed(name), seed, DAY, { days: 3, everyMs: STEP_MS });
  const model: EstimateModel = {
    ...estimateModel,
    begin: (filling, ambient, options) => Estimator.begin(filling, ambient, { ...options, particles: 300 }),
  };
  const track = new KegTrack({ altitudeM: 0, co2Ratio: 1, seed, keepMs: 90 * DAY }, model);
  const entered = replayEvents('one', events);
  for (const event of entered) track.enter(event);
  for (const { topic, payload } of messages) {
    const quantity = topic.endsWith('beer-temperature') ? 'beer-temperature' : 'headspace-pressure';
    const { value, time } = JSON.parse(payload);
    track.accept({ probeId: topic, quantity, measuredAtMs: Date.parse(time), value, absolute: false });
  }
  const atMs = (kind: string) => entered.find(({ body }) => body.kind === kind)?.atMs ?? Number.NaN;
  const beerC = track.output(stepStart(atMs('gas-check-started')) - 1)?.beerTemperature?.value ?? Number.NaN;
  track.advanceTo(atMs('gas-check-started'));
  const before = track.fork() ?? expect.fail();
  return { before, beerC, track, endedAtMs: atMs('gas-check-ended') };
}
const of = (expected: readonly Expectation[], hours: number) =>
  expected.find((one) => one.hours === hours)?.plusMinus ?? Number.NaN;

describe('foreseen', () => {
  test('of an open keg: longer tells more, all in small parts, and the estimate stays as it is', () => {
    const estimate = carbonating(288, 300);
    const before = estimate.snapshot();
    const { expected, parts } = foresee(estimate);
    expect(expected.map(({ hours, shaken }) => ({ hours, shaken }))).toEqual([
      { hours: 0.5, shaken: true },
      { hours: 1, shaken: false },
      { hours: 4, shaken: false },
      { hours: 12, shaken: false },
    ]);
    const { low, high } = estimate.estimate();
    expect(of(expected, 4)).toBeLessThan(of(expected, 1));
    expect(of(expected, 12)).toBeLessThan(of(expected, 4));
    expect(of(expected, 12)).toBeLessThan((0.6 * (high - low)) / 2);
    expect(parts).toBeGreaterThan(50);
    expect(estimate.snapshot()).toEqual(before);
  });

  test('the same again: nothing is left to chance', () => {
    const estimate = carbonating(100, 200);
    expect(foresee(estimate).expected).toEqual(foresee(estimate).expected);
  });

  test('of a check that is going on: only what is still to come', () => {
    const estimate = carbonating(288, 200);
    const closed = walkOn(estimate, 288, 288 + 24, (index) => ({
      headspaceKpaGauge: 70 - (index - 288) * 0.3,
      events: index === 288 ? [{ kind: 'gas-check-started', atMs: index * 300_000, shaken: false }] : [],
    }));
    const { expected } = foresee(closed, { runningHours: 2 });
    expect(expected.map(({ hours }) => hours)).toEqual([0.5, 4, 12]);
    const { low, high } = closed.estimate();
    expect(of(expected, 12)).toBeLessThanOrEqual((high - low) / 2);
    expect(foresee(closed, { runningHours: 11.9 }).expected.map(({ hours }) => hours)).toEqual([0.5]);
  });

  test.each([
    ['check-4h-day-2', 4],
    ['check-12h-days-2-6', 12],
  ])(
    '%s: about as much as came of it',
    (name, hours) => {
      let [foreseen, came] = [0, 0];
      for (const seed of [1, 2]) {
        const { before, beerC, track, endedAtMs } = checkedKeg(name, seed);
        foreseen += of(foresee(before, { beerC }).expected, hours);
        const { low = 0, high = 0 } = track.output(stepStart(endedAtMs) + 2 * STEP_MS)?.dissolved ?? {};
        came += (high - low) / 2;
      }
      // With all its kegs the estimate foresees 1.24 times what comes of 4 h (six kegs), 1.5 times of 12 h: it errs on the
      // careful side. With the few of this test single ones scatter more.
      expect(foreseen / came).toBeGreaterThan(0.6);
      expect(foreseen / came).toBeLessThan(1.75);
    },
    30_000,
  );
});

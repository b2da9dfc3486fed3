/**
 * Aim: what a keg's cooling taught in one batch makes its next better known from the first hour, and does no lasting harm where
 * the keg now stands in another fridge.
 * Method: simulated kegs whose beer, wall and fridge exchange heat by laws other than the estimate's single lump. The same seed is
 * the same keg; its second beer starts at another temperature, in a fridge set otherwise. The truth is the simulated beer's mean.
 */
import { describe, expect, test } from 'vitest';
import { replayEvents } from '../../src/app/replay-feed.ts';
import { createCoolingEstimate } from '../../src/domain/estimate/cooling.ts';
import type { KegLearning } from '../../src/domain/estimate/learning.ts';
import type { HoursAhead } from '../../src/domain/estimate/types.ts';
import { KegTrack } from '../../src/domain/keg-track.ts';
import { record } from '../../src/simulate/situations/catalogue.ts';
import type { Wishes } from '../../src/simulate/situations/script.ts';
import { recordedModel } from '../support/recorded-estimate.ts';

const HOUR_MS = 3_600_000;
const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8];
/** Above what the fridge is set to: at it, the fridge's own error decides and not the keg (K). */
const GOAL_ABOVE_K = 2;

interface Told {
  readonly told: HoursAhead;
  readonly leftHours: number;
}

interface Batch {
  /** What was said some hours after the filling, and what came true. */
  readonly after: (hours: number) => Told;
  readonly learning: () => KegLearning;
}

function batch(seed: number, wishes: Wishes & { readonly fridgeC: number }, learnt?: KegLearning): Batch {
  const situation = {
    ...({ name: 'cooled', group: 'calm', about: '' } as const),
    wishes: { days: 2, everyMs: 300_000, probe: 'thermowell', vessel: { totalL: 19.5, diameterM: 0.215 }, ...wishes },
    write: () => undefined,
  } as const;
  const { kegId, events: entered, messages, truths, startMs } = record(situation, seed, 300_000);
  const goalC = wishes.fridgeC + GOAL_ABOVE_K;
  const at = new Date(startMs).toISOString();
  const target = { kind: 'target-set' as const, at, volumes: 2.25, tolerance: 0.25, celsius: goalC - 0.5 };
  const setup = { altitudeM: 0, co2Ratio: 1, seed, keepMs: 48 * HOUR_MS, ...(learnt === undefined ? {} : { learnt }) };
  const track = new KegTrack(setup, { ...recordedModel(), watchCooling: createCoolingEstimate });
  for (const event of replayEvents(kegId, [...entered, target])) track.enter(event);
  const readings = messages
    .filter(({ topic }) => topic.endsWith('beer-temperature'))
    .map(({ payload, atMs }) => ({ value: (JSON.parse(payload) as { value: number }).value, atMs }));
  let given = 0;
  const advance = (untilMs: number): HoursAhead | null => {
    for (const { value, atMs } of readings.slice(given)) {
      if (atMs > untilMs) break;
      track.accept({ probeId: 'a', quantity: 'beer-temperature', measuredAtMs: atMs, value, absolute: false });
      given += 1;
    }
    return track.output(untilMs)?.coldIn ?? null;
  };
  return {
    after: (hours) => {
      const nowMs = startMs + hours * HOUR_MS;
      const told = advance(nowMs);
      const coldMs = truths.find(({ beerC }) => beerC <= goalC)?.atMs;
      if (told === null || coldMs === undefined)
        throw new Error(`seed ${seed}: nothing is said, or it never gets cold`);
      return { told, leftHours: (coldMs - nowMs) / HOUR_MS };
    },
    learning: () => {
      advance(startMs + 48 * HOUR_MS);
      const learning = track.learning();
      if (learning === null) throw new Error('the keg is full at the end');
      return learning;
    },
  };
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
const errorOf = ({ told, leftHours }: Told) => Math.abs(told.hours - leftHours);
const widthOf = ({ told }: Told) => told.highHours - told.lowHours;
const holds = ({ told, leftHours }: Told) => leftHours >= told.lowHours && leftHours <= told.highHours;

describe('a keg that cools for the second time', () => {
  const first = { fridgeC: 3, beerC: 19 };
  const second = { fridgeC: 4, beerC: 16 };

  test('its time is told better and closer after an hour, and the band holds', () => {
    const pairs = SEEDS.map((seed) => {
      const { cooling, ...others } = batch(seed, first).learning();
      expect(cooling, `seed ${seed}`).toBeDefined();
      const learnt = cooling === undefined ? others : { ...others, cooling };
      return { plain: batch(seed, second, others).after(1), taught: batch(seed, second, learnt).after(1) };
    });
    const [plain, taught] = [pairs.map((pair) => pair.plain), pairs.map((pair) => pair.taught)];
    expect(mean(taught.map(errorOf))).toBeLessThan(mean(plain.map(errorOf)));
    expect(mean(taught.map(widthOf))).toBeLessThan(mean(plain.map(widthOf)));
    expect(taught.filter(holds).length).toBeGreaterThanOrEqual(7);
  });

  test('in another fridge, with half the heat going through its walls, it comes to what is so', () => {
    const told = SEEDS.map((seed) => {
      const learnt = batch(seed, first).learning();
      const moved = { ...second, keg: { traits: { airSideWPerM2K: 4 } } };
      const [plain, taught] = [batch(seed, moved), batch(seed, moved, learnt)];
      return { plain: plain.after(8), taught: taught.after(8) };
    });
    const [plain, taught] = [told.map((pair) => pair.plain), told.map((pair) => pair.taught)];
    expect(taught.filter(holds).length).toBeGreaterThanOrEqual(7);
    expect(mean(taught.map(errorOf))).toBeLessThan(mean(plain.map(errorOf)) + 0.5);
  });

  test('a batch that was filled cold hands on what the one before it taught, less sure', () => {
    const taught = batch(1, first).learning();
    const cold = batch(1, { fridgeC: 4, beerC: 4.5 }, taught).learning();
    expect(cold.cooling?.mean).toBe(taught.cooling?.mean);
    expect(cold.cooling?.sd).toBeGreaterThan(taught.cooling?.sd ?? 9);
  });
});

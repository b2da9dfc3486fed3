/**
 * Aim: people are told what needs them, and little else. Method: a month of five simulated kegs through the real application,
 * once in good order and once with a fault of each kind. The kegs are simulated by laws of their own (`src/simulate`).
 */
import { describe, expect, test } from 'vitest';
import { faultyMonth, MONTH_FAULTS } from '../support/month-faults.ts';
import { CLUB, playMonth, type Told } from '../support/simulated-month.ts';

const SEED = 1;
const DAYS = 30;
const MONTH_TIMEOUT_MS = 60 * 60_000;

function checkTurns(told: readonly Told[]): void {
  const begun = new Set<string>();
  const ended = new Set<string>();
  for (const { id, turn } of told) {
    const seen = turn === 'begin' ? begun : ended;
    expect(seen.has(id), `${turn} of ${id} told twice`).toBe(false);
    if (turn === 'end') expect(begun.has(id), `${id} ended without a begin`).toBe(true);
    seen.add(id);
  }
}

describe('a month of five healthy kegs', () => {
  test(
    'says at most one thing a day, all of it good news',
    async () => {
      const told = await playMonth({ seed: SEED, days: DAYS });
      checkTurns(told);
      expect(told.length).toBeLessThanOrEqual(30);
      expect(told.filter(({ level }) => level !== 'news').map(({ message }) => message)).toEqual([]);
      // What is said to be ready truly holds what was wished: 2.0 to 2.5 volumes, by the simulation's own reckoning.
      const ready = told.filter(
        ({ rule, turn }) => turn === 'begin' && (rule === 'ready-to-fill' || rule === 'carbonated'),
      );
      expect(ready.length).toBeGreaterThan(CLUB.length);
      for (const { message, trueVolumes } of ready) {
        expect(trueVolumes, message).toBeGreaterThanOrEqual(2);
        expect(trueVolumes, message).toBeLessThanOrEqual(2.5);
      }
      // Every beer got cold, and was told to be.
      const cold = told.filter(({ rule, turn }) => rule === 'cold-enough' && turn === 'begin');
      expect(new Set(cold.map(({ target }) => target)).size).toBe(CLUB.length);
    },
    MONTH_TIMEOUT_MS,
  );
});

describe('a month with one fault of each kind', () => {
  test(
    'finds each in time',
    async () => {
      const told = await playMonth(faultyMonth(SEED, DAYS));
      checkTurns(told);
      const late = MONTH_FAULTS.flatMap(({ what, hour, rule, targets, withinHours }) => {
        const found = told.find((one) => {
          return one.turn === 'begin' && one.rule === rule && targets.includes(one.target) && one.hour >= hour;
        });
        const hours = found === undefined ? Number.POSITIVE_INFINITY : found.hour - hour;
        return hours <= withinHours ? [] : [`${what}: ${hours.toFixed(1)} h, wanted ${withinHours} h`];
      });
      expect(late).toEqual([]);
      // What a broker or a network explains is not told for each probe.
      expect(told.filter(({ rule, turn }) => rule === 'probe-silent' && turn === 'begin')).toHaveLength(1);
    },
    MONTH_TIMEOUT_MS,
  );
});

import { describe, expect, test } from 'vitest';
import { gasChecksOf, runningCheck } from '../../../src/domain/gas-check/checks.ts';
import { aFilling, anEvent, HOUR, NOON } from '../../support/builders.ts';

const started = (hour: number, shaken?: boolean) => anEvent(NOON + hour * HOUR, { kind: 'gas-check-started', shaken });
const did = (hour: number, kind: 'gas-check-ended' | 'gas-opened' | 'gas-closed' | 'keg-emptied' | 'keg-moved') =>
  anEvent(NOON + hour * HOUR, { kind });
const filled = (hour: number) => anEvent(NOON + hour * HOUR, aFilling(), { eventId: `filled-${hour}` });
const late = NOON + 1000 * HOUR;

describe('gas checks as the entries tell them', () => {
  test.each(['gas-check-ended', 'gas-opened', 'keg-emptied'] as const)('%s ends one', (kind) => {
    expect(gasChecksOf([filled(-5), started(0), did(4, kind)], late)).toEqual([
      { startedAtMs: NOON, endedAtMs: NOON + 4 * HOUR, shaken: false, batchId: 'filled--5' },
    ]);
  });

  test('a filling ends one of the empty keg before it', () => {
    expect(gasChecksOf([started(0), filled(3)], late)).toEqual([
      { startedAtMs: NOON, endedAtMs: NOON + 3 * HOUR, shaken: false, batchId: null },
    ]);
  });

  test('nothing else ends it, and it goes on without an end', () => {
    const [check] = gasChecksOf([started(0, true), did(1, 'gas-closed'), did(2, 'keg-moved')], late);
    expect(check).toMatchObject({ endedAtMs: null, shaken: true });
  });

  test('begun again while it goes on it is the same check, shaken if either says so', () => {
    const checks = gasChecksOf([started(0), started(1, true), started(2), did(3, 'gas-check-ended')], late);
    expect(checks).toMatchObject([{ startedAtMs: NOON, endedAtMs: NOON + 3 * HOUR, shaken: true }]);
  });

  test('each belongs to the batch that was in the keg when it began', () => {
    const events = [
      filled(-9),
      started(-8),
      did(-7, 'gas-check-ended'),
      did(-6, 'keg-emptied'),
      started(-5),
      did(-4, 'gas-check-ended'),
      filled(-3),
      started(-2),
    ];
    expect(gasChecksOf(events, late).map(({ batchId }) => batchId)).toEqual(['filled--9', null, 'filled--3']);
  });

  test('what is entered for later does not count yet', () => {
    const events = [started(0), did(4, 'gas-check-ended'), started(6)];
    expect(gasChecksOf(events, NOON + 3 * HOUR)).toMatchObject([{ endedAtMs: null }]);
    expect(gasChecksOf(events, NOON - 1)).toEqual([]);
  });

  test('the one that is going on is told, if any is', () => {
    const events = [started(0), did(4, 'gas-check-ended'), started(6)];
    expect(runningCheck(events, NOON + 3 * HOUR)).toMatchObject({ startedAtMs: NOON });
    expect(runningCheck(events, NOON + 5 * HOUR)).toBeNull();
    expect(runningCheck(events, NOON + 7 * HOUR)).toMatchObject({ startedAtMs: NOON + 6 * HOUR });
    expect(runningCheck([], NOON)).toBeNull();
  });

  test('ends without a beginning mean nothing', () => {
    expect(gasChecksOf([did(0, 'gas-check-ended'), did(1, 'gas-opened')], late)).toEqual([]);
  });
});

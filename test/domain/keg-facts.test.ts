import { describe, expect, test } from 'vitest';
import { type EventBody, inOrder } from '../../src/domain/event.ts';
import { DEFAULT_TARGET, kegFactsAt } from '../../src/domain/keg-facts.ts';
import { aFilling, anEvent, HOUR, iso, NOON } from '../support/builders.ts';

const told = (...bodies: readonly EventBody[]) => {
  const events = bodies.map((body, index) => anEvent(NOON + index * HOUR, body));
  return kegFactsAt(events, NOON + 100 * HOUR);
};

describe('what entries say of a keg', () => {
  test('nothing entered: the usual window, and the gas is unknown', () => {
    expect(told()).toEqual({
      target: { volumes: 2.25, low: 2, high: 2.5, celsius: 2 },
      gas: 'unknown',
      altitudeMetres: null,
      thermometer: null,
      regulatorKpaGauge: null,
      fridgeCelsius: null,
      rest: null,
      beer: null,
    });
  });

  test('entries hold from their moment on, not before', () => {
    const events = [anEvent(NOON, { kind: 'regulator-set', kpaGauge: 70 })];
    expect(kegFactsAt(events, NOON - 1).regulatorKpaGauge).toBeNull();
    expect(kegFactsAt(events, NOON).regulatorKpaGauge).toBe(70);
  });

  test('the newest entry counts', () => {
    expect(told({ kind: 'fridge-set', celsius: 6 }, { kind: 'fridge-set', celsius: 1 }).fridgeCelsius).toBe(1);
  });

  test('a target is a window around its middle, and keeps the fill temperature unless told another', () => {
    const first = told({ kind: 'target-set', volumes: 2.7, tolerance: 0.2, celsius: 0 });
    expect(first.target).toEqual({ volumes: 2.7, low: 2.5, high: expect.closeTo(2.9, 12), celsius: 0 });
    const second = told(
      { kind: 'target-set', volumes: 2.7, tolerance: 0.2, celsius: 0 },
      { kind: 'target-set', volumes: 2.3, tolerance: 0.1 },
    );
    expect(second.target).toMatchObject({ volumes: 2.3, celsius: 0 });
  });

  test('a filling tells altitude and thermometer, and opens the gas only if it says so', () => {
    expect(told(aFilling({ altitudeMetres: 700 }))).toMatchObject({
      altitudeMetres: 700,
      thermometer: 'thermowell',
      gas: 'unknown',
    });
    expect(told(aFilling({ onGasSince: iso(NOON) })).gas).toBe('on');
    expect(told({ kind: 'gas-closed' }, aFilling()).gas).toBe('closed');
    expect(told(aFilling({ altitudeMetres: 700 }), aFilling()).altitudeMetres).toBeNull();
  });

  test.each<[EventBody['kind'], string]>([
    ['gas-opened', 'on'],
    ['gas-closed', 'closed'],
    ['gas-check-started', 'closed'],
    ['gas-check-ended', 'on'],
  ])('%s: the gas is %s', (kind, gas) => {
    expect(told({ kind } as EventBody).gas).toBe(gas);
  });

  test('emptying forgets what belonged to the beer, not what belongs to fridge and regulator', () => {
    const facts = told(
      { kind: 'fridge-set', celsius: 1 },
      { kind: 'regulator-set', kpaGauge: 80 },
      aFilling({ altitudeMetres: 700, onGasSince: iso(NOON) }),
      { kind: 'target-set', volumes: 2.7, tolerance: 0.2, celsius: 0 },
      { kind: 'keg-emptied' },
    );
    expect(facts).toEqual({
      target: DEFAULT_TARGET,
      gas: 'unknown',
      altitudeMetres: null,
      thermometer: null,
      regulatorKpaGauge: 80,
      fridgeCelsius: 1,
      rest: null,
      beer: null,
    });
  });

  test('what disturbs the beer ends its rest, and draws add up', () => {
    expect(told(aFilling()).rest).toEqual({ sinceMs: NOON, after: 'filled' });
    const facts = told(
      aFilling({ beerLitres: 18 }),
      { kind: 'keg-moved' },
      { kind: 'beer-drawn', litres: 0.5 },
      { kind: 'keg-shaken', seconds: 60 },
      { kind: 'beer-drawn', litres: 0.4 },
    );
    expect(facts.rest).toEqual({ sinceMs: NOON + 3 * HOUR, after: 'shaken' });
    expect(facts.beer).toEqual({ filledLitres: 18, drawnLitres: 0.9 });
    expect(told(aFilling(), { kind: 'keg-vented' }).rest?.after).toBe('vented');
    // An empty keg may be carried about.
    expect(told({ kind: 'keg-moved' }, { kind: 'beer-drawn', litres: 1 })).toMatchObject({ rest: null, beer: null });
  });

  test('a note changes nothing', () => {
    expect(told({ kind: 'note', text: 'tastes fine' })).toEqual(told());
  });
});

test('entries are ordered by when it happened, then by when they were entered', () => {
  const late = anEvent(NOON, { kind: 'gas-closed' }, { enteredAtMs: NOON + 2 * HOUR });
  const early = anEvent(NOON, { kind: 'gas-opened' }, { enteredAtMs: NOON + HOUR });
  const before = anEvent(NOON - 1, { kind: 'keg-moved' }, { enteredAtMs: NOON + 3 * HOUR });
  expect(inOrder([late, early, before])).toEqual([before, early, late]);
});

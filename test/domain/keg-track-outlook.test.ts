import { describe, expect, test } from 'vitest';
import type { EventBody, KegEvent } from '../../src/domain/event.ts';
import { KegTrack } from '../../src/domain/keg-track.ts';
import type { TrackedQuantity } from '../../src/domain/keg-track-inputs.ts';
import { aFilling, anEvent, HOUR, MINUTE, NOON } from '../support/builders.ts';
import { type RecordedAnswers, recordedModel } from '../support/recorded-estimate.ts';

const HOURS = { hours: 30, lowHours: 20, highHours: 50 };

interface Course {
  readonly beerAt?: (minute: number) => number | null;
  readonly kpaAt?: (minute: number) => number | null;
  readonly quantity?: TrackedQuantity;
  readonly filled?: Parameters<typeof aFilling>[0];
  readonly bodies?: readonly (readonly [number, EventBody])[];
  readonly answers?: RecordedAnswers;
}

/** What is said of a keg filled four hours ago; minutes count from its filling. */
function outlook(course: Course = {}) {
  const asked: { beerC: number; headspaceKpaGauge: number }[] = [];
  const { beerAt = () => 4, kpaAt = () => 70, answers = {}, quantity = 'beer-temperature' } = course;
  const track = new KegTrack(
    { altitudeM: 0, co2Ratio: 1, seed: 1, keepMs: 1e12 },
    recordedModel({ hours: HOURS, asked, ...answers }),
  );
  const events: KegEvent[] = [anEvent(NOON, aFilling(course.filled))];
  for (const [minute, body] of course.bodies ?? []) events.push(anEvent(NOON + minute * MINUTE, body));
  for (const event of events) track.enter(event);
  for (let minute = 0; minute < 240; minute += 5) {
    for (const [name, value] of [
      [quantity, beerAt(minute)],
      ['headspace-pressure', kpaAt(minute)],
    ] as const) {
      if (value !== null) {
        track.accept({ probeId: name, quantity: name, measuredAtMs: NOON + minute * MINUTE, value, absolute: false });
      }
    }
  }
  const output = track.output(NOON + 4 * HOUR) ?? expect.fail();
  return { output, asked };
}

describe('an outlook', () => {
  test('tells what is now, where it goes, and how steady it is', () => {
    const { output } = outlook();
    expect(output).toMatchObject({
      atMs: NOON + 4 * HOUR,
      filledAtMs: NOON,
      insideProbability: 0.25,
      aboveProbability: 0.01,
      readyIn: HOURS,
      steadiness: { kpa: 0, celsius: 0, missedSteps: 0 },
    });
    // The published fit at 4 °C and 70 kPa at sea level.
    expect(output.equilibriumVolumes).toBeCloseTo(2.34, 2);
  });

  test('takes the air off the pressure', () => {
    const { output } = outlook({ answers: { estimate: { airKpa: 20 } } });
    expect(output.equilibriumVolumes).toBeCloseTo(2.34 - 20 * 0.01367, 1);
  });

  test('says nothing of now by what is hours old', () => {
    const { output, asked } = outlook({
      beerAt: (minute) => (minute < 60 ? 4 : null),
      kpaAt: (minute) => (minute < 60 ? 70 : null),
    });
    expect(output).toMatchObject({ beerTemperature: null, headspacePressure: null, equilibriumVolumes: null });
    expect(output).toMatchObject({ readyIn: null, coldIn: null, steadiness: null, passesTopInHours: null });
    expect(asked).toEqual([]);
  });

  test('has the air for the beer where the thermometer hangs in it, and only there', () => {
    const air = { quantity: 'air-temperature', beerAt: () => 5 } as const;
    expect(outlook({ ...air, filled: { probe: 'air' } }).output.beerTemperature?.value).toBe(5);
    expect(outlook({ ...air, filled: { probe: 'wall' } }).output.beerTemperature).toBeNull();
  });

  test('beer that is inside already is not told to get there', () => {
    expect(outlook({ answers: { hours: { hours: 0, lowHours: 0, highHours: 0 } } }).output.readyIn).toBeNull();
    expect(outlook({ answers: { hours: null } }).output.readyIn).toBeNull();
  });
});

describe('what is looked ahead with', () => {
  const fridge = [5, { kind: 'fridge-set', celsius: 3 }] as const;
  test.each<[string, Course, { beerC?: number; headspaceKpaGauge?: number }]>([
    ['the temperature and the pressure of now', {}, { beerC: 4, headspaceKpaGauge: 70 }],
    [
      'the fridge’s, while the beer falls towards it',
      { beerAt: (minute) => 15 - minute / 60, bodies: [fridge] },
      { beerC: 3 },
    ],
    ['its own, where it does not fall', { beerAt: () => 8, bodies: [fridge] }, { beerC: 8 }],
    ['its own, where it is colder', { beerAt: () => 2, bodies: [fridge] }, { beerC: 2 }],
    [
      'its own, where nothing is known of two hours ago',
      { beerAt: (minute) => (minute < 200 ? null : 8), bodies: [fridge] },
      { beerC: 8 },
    ],
    [
      'the pressure before the gas was closed',
      { kpaAt: (minute) => (minute < 120 ? 70 : 60), bodies: [[120, { kind: 'gas-closed' }]] },
      { headspaceKpaGauge: 70 },
    ],
    [
      'before a check as well',
      { kpaAt: (minute) => (minute < 120 ? 72 : 60), bodies: [[120, { kind: 'gas-check-started' }]] },
      { headspaceKpaGauge: 72 },
    ],
    [
      'the setting, where no pressure was heard before',
      {
        kpaAt: (minute) => (minute < 125 ? null : 60),
        bodies: [
          [1, { kind: 'regulator-set', kpaGauge: 75 }],
          [120, { kind: 'gas-closed' }],
        ],
      },
      { headspaceKpaGauge: 75 },
    ],
    [
      'the pressure of now, where nothing else is known',
      { kpaAt: (minute) => (minute < 125 ? null : 60), bodies: [[120, { kind: 'gas-closed' }]] },
      { headspaceKpaGauge: 60 },
    ],
    [
      'the setting, where the gauge is silent',
      { kpaAt: () => null, bodies: [[1, { kind: 'regulator-set', kpaGauge: 75 }]] },
      { headspaceKpaGauge: 75 },
    ],
  ])('is %s', (_name, course, wanted) => {
    expect(outlook(course).asked).toMatchObject([wanted]);
  });

  test('is nothing, where no pressure is known at all', () => {
    const { output, asked } = outlook({ kpaAt: () => null });
    expect(asked).toEqual([]);
    expect(output.passesTopInHours).toBeNull();
    const closed = outlook({ kpaAt: () => null, bodies: [[120, { kind: 'gas-closed' }]] });
    expect(closed.asked).toEqual([]);
  });
});

describe('the risk of passing the top', () => {
  test('is now, if it is already more than is taken', () => {
    expect(outlook({ answers: { above: 0.2 } }).output.passesTopInHours).toBe(0);
  });

  test('is as the estimate says, where pressure and temperature are known', () => {
    expect(outlook({ kpaAt: () => 90 }).output.passesTopInHours).toBe(33);
    expect(outlook({ kpaAt: () => null }).output.passesTopInHours).toBeNull();
    expect(outlook({ beerAt: () => null }).output.passesTopInHours).toBeNull();
  });
});

describe('the time until cold', () => {
  test('is told while the beer is warmer than it should be, and not after', () => {
    expect(outlook({ beerAt: () => 8 }).output.coldIn?.hours).toBe(48);
    expect(outlook({ beerAt: () => 2 }).output.coldIn).toBeNull();
  });
});

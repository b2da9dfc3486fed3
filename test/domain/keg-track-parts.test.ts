import { describe, expect, test } from 'vitest';
import { STEP_MS } from '../../src/domain/clean/step.ts';
import type { Belief } from '../../src/domain/estimate/learning.ts';
import type { EventBody } from '../../src/domain/event.ts';
import { CoolingTrack } from '../../src/domain/keg-track-cooling.ts';
import { carriedInto, fillingOf, isFilling, stepEventOf } from '../../src/domain/keg-track-events.ts';
import { TrackInputs } from '../../src/domain/keg-track-inputs.ts';
import { type Mark, withMark } from '../../src/domain/keg-track-marks.ts';
import { aFilling, anEvent, DAY, HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { recordedModel } from '../support/recorded-estimate.ts';

function aFilled(change: Parameters<typeof aFilling>[0] = {}) {
  const event = anEvent(NOON, aFilling(change));
  return isFilling(event) ? event : expect.fail();
}

describe('what an entry means for the estimate', () => {
  test.each<[EventBody, object | null]>([
    [{ kind: 'gas-opened' }, { kind: 'gas-opened' }],
    [{ kind: 'gas-closed' }, { kind: 'gas-closed' }],
    [{ kind: 'gas-check-ended' }, { kind: 'gas-check-ended' }],
    [{ kind: 'probe-zeroed' }, { kind: 'probe-zeroed' }],
    [{ kind: 'gas-check-started' }, { kind: 'gas-check-started', shaken: false }],
    [
      { kind: 'gas-check-started', shaken: true },
      { kind: 'gas-check-started', shaken: true },
    ],
    [
      { kind: 'headspace-purged', times: 3 },
      { kind: 'purged', times: 3, kpaGauge: null },
    ],
    [{ kind: 'keg-vented' }, { kind: 'vented' }],
    [{ kind: 'keg-moved' }, { kind: 'moved' }],
    [
      { kind: 'keg-shaken', seconds: 60 },
      { kind: 'shaken', seconds: 60 },
    ],
    [
      { kind: 'beer-drawn', litres: 0.5 },
      { kind: 'drawn', litres: 0.5 },
    ],
    [{ kind: 'diffusion-stone-started' }, { kind: 'stone-started' }],
    [
      { kind: 'keg-weighed', kg: 24 },
      { kind: 'weighed', kg: 24, plusMinusKg: 0.02 },
    ],
    [
      { kind: 'keg-weighed', kg: 24, plusMinusKg: 0.002 },
      { kind: 'weighed', kg: 24, plusMinusKg: 0.002 },
    ],
    [
      { kind: 'sample-measured', volumes: 2, plusMinus: 0.1 },
      { kind: 'sample-measured', volumes: 2, plusMinus: 0.1 },
    ],
    [
      { kind: 'regulator-set', kpaGauge: 70 },
      { kind: 'regulator-set', kpaGauge: 70 },
    ],
    [{ kind: 'note', text: 'smells of apples' }, null],
    [{ kind: 'line-cleaned' }, null],
  ])('%j', (body, wanted) => {
    expect(stepEventOf(anEvent(NOON, body))).toEqual(wanted === null ? null : { atMs: NOON, ...wanted });
  });

  test('a filling is told with what is known of it, and no more beer than the keg holds', () => {
    const all = aFilled({
      beerLitres: 25,
      diameterMetres: 0.21,
      beerCelsius: 12,
      fermentedAtCelsius: 19,
      onGasSince: iso(NOON - DAY),
    });
    expect(fillingOf(all, false)).toEqual({
      atMs: NOON,
      totalL: 19,
      beerL: 19,
      diameterM: 0.21,
      beerC: 12,
      fermentedC: 19,
      beerState: 'flat',
      thermometer: 'thermowell',
      onGasSinceMs: NOON - DAY,
    });
    expect(fillingOf(aFilled(), true)).toMatchObject({
      diameterM: null,
      beerC: null,
      fermentedC: null,
      onGasSinceMs: null,
      beerState: 'unknown',
    });
  });

  test('what was done to the keg’s last beer does not hold for the new one, but its regulator does', () => {
    const events = [
      anEvent(NOON - 3 * HOUR, { kind: 'regulator-set', kpaGauge: 70 }),
      anEvent(NOON - 2 * HOUR, { kind: 'gas-opened' }),
      anEvent(NOON - 2 * HOUR, { kind: 'headspace-purged', times: 4 }),
      anEvent(NOON - HOUR, { kind: 'keg-emptied' }),
    ];
    expect(carriedInto(aFilled(), events).map(({ kind }) => kind)).toEqual(['regulator-set']);
    expect(carriedInto(aFilled(), [])).toEqual([]);
  });
});

describe('marks', () => {
  test('stay few however long it takes, near ones close together, and the first is kept', () => {
    let marks: readonly Mark<number>[] = [];
    for (let step = 3; step <= 60 * 288; step += 3) {
      marks = withMark(marks, { atMs: step * STEP_MS, held: step });
      expect(marks.length).toBeLessThanOrEqual(10);
      expect(marks.at(-1)?.held).toBe(step);
      expect(marks[0]?.held).toBe(3);
    }
    const ages = marks.map(({ atMs }) => (60 * 288 * STEP_MS - atMs) / STEP_MS);
    expect(ages.toReversed().slice(0, 2)).toEqual([0, 3]);
    // Going back a day costs no more than a day and a half.
    expect(ages.some((age) => age >= 288 && age <= 1.5 * 288 + 24)).toBe(true);
  });
});

describe('the cooling of a batch', () => {
  const learnt: Belief = { mean: Math.log(11), sd: 0.05 };

  function cooling(beer: (minute: number) => number | null = (minute) => 18 - minute / 60, minutes = 600) {
    const inputs = new TrackInputs();
    for (let minute = 0; minute < minutes; minute += 5) {
      const value = beer(minute);
      if (value === null) continue;
      inputs.add({
        probeId: 'a',
        quantity: 'beer-temperature',
        measuredAtMs: NOON + minute * MINUTE,
        value,
        absolute: false,
      });
    }
    const watched: Parameters<typeof recordedModel>[1] = [];
    return { track: new CoolingTrack(recordedModel({}, watched), inputs, learnt), watched, inputs };
  }
  const ask = (untilMs: number, change: object = {}) => ({
    filling: aFilled({ beerCelsius: 18 }),
    events: [],
    fridgeC: 3,
    goalC: 2.5,
    untilMs,
    nowMs: untilMs,
    ...change,
  });

  test('is watched from the filling on, each reading once', () => {
    const { track, watched } = cooling();
    expect(track.hoursUntil(ask(NOON + HOUR))?.hours).toBe(12);
    expect(track.hoursUntil(ask(NOON + 2 * HOUR))?.hours).toBe(24);
    expect(watched).toHaveLength(1);
    expect(watched[0]).toMatchObject({ setC: 3, startC: 18, litres: 18.5, place: 'thermowell' });
  });

  test('begins with the first reading where nobody entered a temperature, and not at all without', () => {
    const { track, watched } = cooling((minute) => (minute < 30 ? null : 15));
    expect(track.hoursUntil(ask(NOON + 20 * MINUTE, { filling: aFilled() }))).toBeNull();
    track.hoursUntil(ask(NOON + HOUR, { filling: aFilled() }));
    expect(watched).toMatchObject([{ startC: 15 }]);
  });

  test('takes someone who says nothing of the fridge to want the beer cold', () => {
    const { track, watched } = cooling();
    track.hoursUntil(ask(NOON + HOUR, { fridgeC: null, goalC: 4 }));
    expect(watched[0]?.setC).toBe(3.5);
  });

  test('begins anew when the keg moved or its fridge was set, when it is asked of the past, and when the past changed', () => {
    const { track, watched } = cooling();
    track.hoursUntil(ask(NOON + 3 * HOUR));
    const moved = anEvent(NOON + 4 * HOUR, { kind: 'keg-moved' });
    track.hoursUntil(ask(NOON + 5 * HOUR, { events: [moved] }));
    expect(watched[1]).toMatchObject({ startC: 14 });
    expect(watched[1]?.fed).toHaveLength(12);
    track.hoursUntil(ask(NOON + 4.5 * HOUR, { events: [moved] }));
    expect(watched).toHaveLength(3);
    track.changed(NOON + 6 * HOUR);
    track.hoursUntil(ask(NOON + 5 * HOUR, { events: [moved] }));
    expect(watched).toHaveLength(3);
    track.changed(NOON + 4 * HOUR);
    track.hoursUntil(ask(NOON + 5 * HOUR, { events: [moved] }));
    expect(watched).toHaveLength(4);
    // Set within an hour of the filling, it belongs to it.
    const set = anEvent(NOON + 10 * MINUTE, { kind: 'fridge-set', celsius: 3 });
    track.hoursUntil(ask(NOON + 5 * HOUR, { events: [set] }));
    expect(watched[4]).toMatchObject({ startC: 18 });
  });

  test('of a long course looks at the last days alone', () => {
    const { track, watched } = cooling((minute) => 4 + (minute % 60) / 100, 10 * 24 * 60);
    track.hoursUntil(ask(NOON + 9.5 * DAY));
    expect(watched[0]?.fed.length).toBeLessThanOrEqual(3 * 288);
    expect(watched[0]?.fed.length).toBeGreaterThan(1.9 * 288);
  });
});

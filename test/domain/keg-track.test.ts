/**
 * Aim: what a track says rests on readings and entries alone: not on their order of arrival, not on when it was asked, not on
 * a restart in between, and on nothing later than the moment it speaks of.
 * Method: an estimate that keeps all that it was told, so that two of one past are equal to the bit; and the real one.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { estimateModel } from '../../src/app/estimate-model.ts';
import { STEP_MS } from '../../src/domain/clean/step.ts';
import { Estimator } from '../../src/domain/estimate/estimator.ts';
import type { KegEvent } from '../../src/domain/event.ts';
import { isSavedHeld, KegTrack } from '../../src/domain/keg-track.ts';
import type { TrackedQuantity, TrackReading } from '../../src/domain/keg-track-inputs.ts';
import type { EstimateModel, TrackSetup } from '../../src/domain/keg-track-types.ts';
import { aFilling, anEvent, DAY, HOUR, MINUTE, NOON } from '../support/builders.ts';
import { RecordedEstimate, recordedModel } from '../support/recorded-estimate.ts';

const SETUP: TrackSetup = { altitudeM: 0, co2Ratio: 1, seed: 5, keepMs: 90 * DAY };

const reading = (quantity: TrackedQuantity, atMs: number, value: number): TrackReading => ({
  probeId: `one.${quantity}`,
  quantity,
  measuredAtMs: atMs,
  value,
  absolute: false,
});
/** Beer at 4 °C under 70 kPa, both heard every five minutes. */
const heard = (fromMs: number, untilMs: number): TrackReading[] => {
  const count = Math.round((untilMs - fromMs) / STEP_MS);
  return Array.from({ length: count }, (_, index) => fromMs + index * STEP_MS + MINUTE).flatMap((atMs) => [
    reading('beer-temperature', atMs, 4 + ((atMs / MINUTE) % 7) / 50),
    reading('headspace-pressure', atMs, 70 + ((atMs / MINUTE) % 5) / 10),
  ]);
};
const FILLED = anEvent(NOON, aFilling(), { eventId: 'filled' });
const OPENED = anEvent(NOON + 20 * MINUTE, { kind: 'gas-opened' }, { eventId: 'opened' });

/** All that the running estimate was told. */
function toldBy(track: KegTrack): readonly string[] {
  return track.fork()?.snapshot() as readonly string[];
}
/** What was put aside when a track began to remember, as it comes back from a file. */
const baseOf = (track: KegTrack) => structuredClone(track.base()) ?? expect.fail('it remembers all');
/** All readings again, as a restart gives them. */
function hearAgain(track: KegTrack, readings: readonly TrackReading[]): void {
  for (const one of readings) {
    track.lookBackOn(one);
    track.accept(one);
  }
}
function tracked(events: readonly KegEvent[], readings: readonly TrackReading[], untilMs: number, setup = SETUP) {
  const track = new KegTrack(setup, recordedModel());
  for (const event of events) track.enter(event);
  for (const one of readings) track.accept(one);
  track.advanceTo(untilMs);
  return track;
}
const stepsOf = (track: KegTrack) => new RecordedEstimate({}, toldBy(track)).steps();

describe('steps', () => {
  test('carry what was heard and done within them, from the step of the filling on', () => {
    const track = tracked([FILLED, OPENED], heard(NOON - HOUR, NOON + HOUR), NOON + HOUR);
    const steps = stepsOf(track);
    expect(steps.map(({ fromMs }) => fromMs)).toEqual(Array.from({ length: 12 }, (_, index) => NOON + index * STEP_MS));
    expect(steps[4]?.events).toEqual([{ kind: 'gas-opened', atMs: NOON + 20 * MINUTE }]);
    expect(steps[7]).toMatchObject({ toMs: NOON + 40 * MINUTE, co2Ratio: 1, events: [], ambientFromBarometer: false });
    expect(steps[7]?.headspaceKpaGauge).toBeCloseTo(70.1, 0);
  });

  test('say what was done before a filling that still holds, as if done with it', () => {
    const before: KegEvent[] = [
      anEvent(NOON - 9 * DAY, { kind: 'regulator-set', kpaGauge: 70 }),
      anEvent(NOON - 3 * DAY, { kind: 'headspace-purged', times: 2 }),
      anEvent(NOON - 2 * HOUR, { kind: 'headspace-purged', times: 5, kpaGauge: 200 }),
      anEvent(NOON - HOUR, { kind: 'gas-opened' }),
    ];
    const [first] = stepsOf(tracked([...before, FILLED], [], NOON + STEP_MS));
    expect(first?.events).toEqual([
      { kind: 'regulator-set', atMs: NOON, kpaGauge: 70 },
      { kind: 'purged', atMs: NOON, times: 5, kpaGauge: 200 },
      { kind: 'gas-opened', atMs: NOON },
    ]);
  });

  test('go on over silence, with nothing heard', () => {
    const track = tracked(
      [FILLED],
      [...heard(NOON, NOON + HOUR), ...heard(NOON + 5 * HOUR, NOON + 6 * HOUR)],
      NOON + 6 * HOUR,
    );
    const silent = stepsOf(track).slice(12, 60);
    expect(silent.every(({ beerC, headspaceKpaGauge }) => beerC === null && headspaceKpaGauge === null)).toBe(true);
  });

  test('of gas whose share of CO2 nobody knows are none', () => {
    const track = tracked([FILLED, OPENED], heard(NOON, NOON + HOUR), NOON + HOUR, { ...SETUP, co2Ratio: null });
    expect(track.output(NOON + HOUR)).toMatchObject({ dissolved: null, equilibriumVolumes: null, readyIn: null });
    expect(track.fork()).toBeNull();
    expect(track.learning()).toBeNull();
  });
});

describe('batches', () => {
  const emptied = anEvent(NOON + HOUR, { kind: 'keg-emptied' });
  const again = anEvent(NOON + 2 * HOUR + MINUTE, aFilling({ beerState: 'carbonated' }), { eventId: 'again' });

  test('begin with a filling and end when the keg is emptied', () => {
    const track = tracked([FILLED, emptied, again], [], NOON);
    expect(track.output(NOON + 30 * MINUTE)?.batchId).toBe('filled');
    expect(track.output(NOON + 90 * MINUTE)).toBeNull();
    expect(track.output(NOON + 3 * HOUR)?.batchId).toBe('again');
    expect(new RecordedEstimate({}, toldBy(track)).begunWith()).toMatchObject({ filling: { beerState: 'carbonated' } });
  });

  test('begin at once: an entry of this very moment is known', () => {
    const track = tracked([FILLED], [], NOON - STEP_MS);
    expect(track.output(NOON - MINUTE)).toBeNull();
    expect(track.output(NOON)?.batchId).toBe('filled');
  });

  test('what is entered for later in a step is not known before', () => {
    const soon = anEvent(NOON + 3 * MINUTE, { kind: 'keg-emptied' });
    const track = tracked([FILLED, soon], [], NOON);
    expect(track.output(NOON + MINUTE)?.batchId).toBe('filled');
    expect(track.output(NOON + 4 * MINUTE)).toBeNull();
  });

  test('an empty keg is put aside and taken up like any other', () => {
    const setup = { ...SETUP, keepMs: HOUR };
    const base = baseOf(tracked([FILLED, emptied], [], NOON + 4 * HOUR, setup));
    expect(base.held).toEqual({ filling: null, snapshot: null, cooling: null });
    const track = KegTrack.fromBase(base, setup, recordedModel(), [FILLED, emptied]);
    expect(track.output(NOON + 4 * HOUR)).toBeNull();
    track.enter({ ...again, atMs: NOON + 5 * HOUR });
    expect(track.output(NOON + 6 * HOUR)?.batchId).toBe('again');
  });

  test('a keg that is filled while full holds who knows what', () => {
    const track = tracked([FILLED, again], [], NOON + 3 * HOUR);
    expect(new RecordedEstimate({}, toldBy(track)).begunWith()).toMatchObject({ filling: { beerState: 'unknown' } });
  });

  test('take the air pressure of the step before: a barometer’s, the filling’s altitude, or the site’s', () => {
    const begun = (track: KegTrack) => new RecordedEstimate({}, toldBy(track)).begunWith();
    const barometer = reading('ambient-pressure', NOON - 10 * MINUTE, 97);
    expect(begun(tracked([FILLED], [barometer], NOON + STEP_MS))).toMatchObject({
      ambient: { kpaAbsolute: 97, fromBarometer: true },
    });
    const high = anEvent(NOON, aFilling({ altitudeMetres: 2000 }));
    // US Standard Atmosphere 1976: 79.50 kPa at 2,000 m.
    expect(begun(tracked([high], [], NOON + STEP_MS))).toMatchObject({
      ambient: { kpaAbsolute: expect.closeTo(79.5, 1), fromBarometer: false },
    });
    const site = tracked([FILLED], [], NOON + STEP_MS, { ...SETUP, altitudeM: 2000 });
    expect(begun(site)).toMatchObject({ ambient: { kpaAbsolute: expect.closeTo(79.5, 1) } });
  });

  test('before the first entry there is nothing, and without any there never is', () => {
    const empty = tracked([], heard(NOON, NOON + HOUR), NOON + HOUR);
    expect(empty.output(NOON + HOUR)).toBeNull();
    expect(empty.doneToMs).toBeNull();
    expect(empty.base()).toBeNull();
    expect(tracked([FILLED], [], NOON - DAY).output(NOON - DAY)).toBeNull();
  });
});

const STORY_UNTIL_MS = NOON + 8 * HOUR;
/** A check, and an hour of silence. */
const STORY = {
  untilMs: STORY_UNTIL_MS,
  events: [
    FILLED,
    OPENED,
    anEvent(NOON + 3 * HOUR, { kind: 'gas-check-started' }, { eventId: 'check' }),
    anEvent(NOON + 5 * HOUR, { kind: 'gas-check-ended' }, { eventId: 'end' }),
  ],
  readings: [...heard(NOON, NOON + 3.2 * HOUR), ...heard(NOON + 4 * HOUR, STORY_UNTIL_MS)],
};

describe('the order of arrival', () => {
  const { untilMs, events, readings } = STORY;
  const inOrder = toldBy(tracked(events, readings, untilMs));

  test('changes nothing once all is in, to the bit, whenever it was asked and whatever came twice', () => {
    const arrivals = fc.tuple(
      fc.shuffledSubarray(readings, { minLength: readings.length }),
      fc.shuffledSubarray(events, { minLength: events.length }),
      fc.array(fc.nat(readings.length), { maxLength: 6 }),
    );
    fc.assert(
      fc.property(arrivals, ([shuffled, entries, asked]) => {
        const track = new KegTrack(SETUP, recordedModel());
        const left = [...entries];
        for (const [index, one] of shuffled.entries()) {
          track.accept(one);
          expect(track.accept(one)).toBe(false);
          if (asked.includes(index)) {
            track.output(untilMs);
            const next = left.shift();
            if (next !== undefined) track.enter(next);
          }
        }
        for (const event of left) track.enter(event);
        track.advanceTo(untilMs);
        expect(toldBy(track)).toEqual(inOrder);
      }),
      { numRuns: 25 },
    );
  });

  test('a restart in the middle changes nothing, also for what comes late after it', () => {
    const setup = { ...SETUP, keepMs: 90 * MINUTE };
    for (const restartMs of [NOON + 2 * HOUR, NOON + 5.5 * HOUR, NOON + 7 * HOUR]) {
      const entered = events.filter(({ atMs }) => atMs < restartMs);
      const inTime = readings.filter(({ measuredAtMs }) => measuredAtMs < restartMs - HOUR);
      const base = baseOf(tracked(entered, inTime, restartMs, setup));
      const track = KegTrack.fromBase(base, setup, recordedModel(), entered);
      hearAgain(track, inTime);
      track.advanceTo(restartMs);
      for (const event of events) track.enter(event);
      for (const one of readings) track.accept(one);
      track.advanceTo(untilMs);
      expect(toldBy(track)).toEqual(inOrder);
    }
  });

  test('nothing that is said of a moment rests on what comes later', () => {
    const whole = new KegTrack(SETUP, recordedModel());
    for (const event of events) whole.enter(event);
    for (const one of readings) whole.accept(one);
    for (let nowMs = NOON; nowMs < untilMs; nowMs += 25 * MINUTE) {
      const past = tracked(
        events.filter(({ atMs }) => atMs <= nowMs),
        readings.filter(({ measuredAtMs }) => measuredAtMs < nowMs),
        nowMs,
      );
      expect(past.output(nowMs)).toEqual(whole.output(nowMs));
    }
  });
});

test('the real estimate comes to the same to the bit, late or in order, restarted or not', () => {
  const { untilMs, events, readings } = STORY;
  const model: EstimateModel = {
    ...estimateModel,
    begin: (filling, ambient, { seed }) => Estimator.begin(filling, ambient, { seed, particles: 100 }),
  };
  const run = (arrivals: readonly TrackReading[], restart: boolean) => {
    const setup = { ...SETUP, keepMs: 2 * HOUR };
    let track = new KegTrack(setup, model);
    for (const event of events) track.enter(event);
    for (const [index, one] of arrivals.entries()) {
      track.accept(one);
      if (index % 60 === 59) track.advanceTo(one.measuredAtMs);
      if (!restart || index !== 120) continue;
      track = KegTrack.fromBase(baseOf(track), setup, model, events);
      hearAgain(track, arrivals.slice(0, index + 1));
    }
    return track.output(untilMs);
  };
  const told = run(readings, false);
  // Every seventh comes an hour late.
  const late = readings.toSorted((a, b) => a.measuredAtMs + (a.measuredAtMs % 7 === 0 ? HOUR : 0) - b.measuredAtMs);
  expect(run(late, false)).toEqual(told);
  expect(run(readings, true)).toEqual(told);
  expect(told?.dissolved?.gas).toBe('on');
});

describe('entries that change', () => {
  const readings = heard(NOON, NOON + 4 * HOUR);
  const untilMs = NOON + 4 * HOUR;

  test('a correction or a withdrawal has all after it computed anew', () => {
    const track = tracked([FILLED, OPENED], readings, untilMs);
    const moved = { ...OPENED, atMs: NOON + 2 * HOUR };
    expect(track.enter(moved)).toBe(true);
    expect(track.doneToMs).toBe(NOON + 20 * MINUTE);
    track.advanceTo(untilMs);
    expect(toldBy(track)).toEqual(toldBy(tracked([FILLED, moved], readings, untilMs)));
    expect(track.withdraw('opened')).toBe(true);
    track.advanceTo(untilMs);
    expect(toldBy(track)).toEqual(toldBy(tracked([FILLED], readings, untilMs)));
    expect(track.withdraw('opened')).toBe(false);
  });

  test('the filling itself may be corrected or withdrawn', () => {
    const track = tracked([FILLED, OPENED], readings, untilMs);
    const later = { ...FILLED, atMs: NOON + HOUR };
    track.enter(later);
    expect(track.output(untilMs)?.filledAtMs).toBe(NOON + HOUR);
    expect(toldBy(track)).toEqual(toldBy(tracked([later, OPENED], readings, untilMs)));
    track.withdraw('filled');
    expect(track.output(untilMs)).toBeNull();
    track.withdraw('opened');
    expect(track.output(untilMs)).toBeNull();
  });

  test('what was done before a filling and entered later counts in it', () => {
    const track = tracked([FILLED], readings, untilMs);
    const purged = anEvent(NOON - HOUR, { kind: 'headspace-purged', times: 5 });
    track.enter(purged);
    track.advanceTo(untilMs);
    expect(toldBy(track)).toEqual(toldBy(tracked([purged, FILLED], readings, untilMs)));
    expect(stepsOf(track)[0]?.events).toMatchObject([{ kind: 'purged', times: 5 }]);
  });
});

describe('what is remembered', () => {
  const setup = { ...SETUP, keepMs: DAY };
  const untilMs = NOON + 3 * DAY;
  const long = () => tracked([FILLED, OPENED], heard(NOON, untilMs), untilMs, setup);

  test('older readings and entries are refused, and nothing changes by them', () => {
    const track = long();
    const before = toldBy(track);
    expect(track.rememberedFromMs).toBeGreaterThan(NOON + DAY);
    expect(track.accept(reading('beer-temperature', NOON + HOUR, 9))).toBe(false);
    expect(track.enter(anEvent(NOON + HOUR, { kind: 'gas-closed' }))).toBe(false);
    expect(track.withdraw('opened')).toBe(false);
    track.advanceTo(untilMs);
    expect(toldBy(track)).toEqual(before);
    expect(tracked([FILLED], [], NOON + HOUR).rememberedFromMs).toBeNull();
    expect(tracked([FILLED], [], NOON + HOUR).base()).toBeNull();
  });

  test('goes on from where it begins to remember as if it had never stopped', () => {
    const whole = long();
    const base = baseOf(whole);
    const told: string[] = [];
    const track = KegTrack.fromBase(base, setup, recordedModel(), [FILLED, OPENED], (batchId) => told.push(batchId));
    hearAgain(track, heard(NOON, untilMs));
    track.advanceTo(untilMs);
    expect(toldBy(track)).toEqual(toldBy(whole));
    expect(new Set(told)).toEqual(new Set(['filled']));
    expect(track.rememberedFromMs).toBe(base.atMs);
  });

  test('restarted, what is late but remembered is computed again', () => {
    const later = reading('headspace-pressure', untilMs - 2 * HOUR, 71);
    const resumed = KegTrack.fromBase(baseOf(long()), setup, recordedModel(), [FILLED, OPENED]);
    hearAgain(resumed, heard(NOON, untilMs));
    resumed.advanceTo(untilMs);
    const whole = long();
    for (const track of [resumed, whole]) {
      expect(track.accept(later)).toBe(true);
      track.advanceTo(untilMs);
    }
    expect(toldBy(resumed)).toEqual(toldBy(whole));
    expect(resumed.accept(reading('beer-temperature', NOON + HOUR, 9))).toBe(false);
  });

  test('only what lies before the base is looked back on, and without a base nothing is', () => {
    const track = tracked([FILLED], [], NOON);
    track.lookBackOn(reading('beer-temperature', NOON + MINUTE, 9));
    expect(track.output(NOON + HOUR)?.beerTemperature).toBeNull();
    expect(stepsOf(track)[0]?.beerC).toBeNull();
    expect(isSavedHeld(baseOf(long()).held)).toBe(true);
    for (const odd of [null, 7, {}, { filling: null }, { filling: null, snapshot: null }])
      expect(isSavedHeld(odd)).toBe(false);
  });

  test('far going back passes over late marks', () => {
    const track = tracked([FILLED, OPENED], heard(NOON, NOON + DAY), NOON + DAY, { ...SETUP, markSteps: 12 });
    track.accept(reading('headspace-pressure', NOON + 2 * MINUTE, 70.3));
    track.advanceTo(NOON + DAY);
    const again = tracked(
      [FILLED, OPENED],
      [...heard(NOON, NOON + DAY), reading('headspace-pressure', NOON + 2 * MINUTE, 70.3)],
      NOON + DAY,
    );
    expect(toldBy(track)).toEqual(toldBy(again));
  });

  test('from when it is to compute can be said', () => {
    const track = tracked([FILLED], heard(NOON, NOON + HOUR), NOON + HOUR, { ...SETUP, fromMs: NOON + 30 * MINUTE });
    // The filling lies before: nothing was begun.
    expect(track.output(NOON + HOUR)).toBeNull();
  });
});

describe('what others may take from it', () => {
  test('its last pressures are told, of this batch and where something was heard', () => {
    const readings = [...heard(NOON - HOUR, NOON + 10 * MINUTE), ...heard(NOON + HOUR, NOON + 2 * HOUR)];
    const track = tracked([FILLED], readings, NOON + 70 * MINUTE);
    expect(track.pressures(NOON - DAY).map(({ atMs }) => atMs)).toEqual(
      [0, 5, 60, 65].map((minute) => NOON + minute * MINUTE),
    );
    expect(track.pressures(NOON + HOUR + MINUTE)).toHaveLength(2);
    expect(tracked([], readings, NOON + HOUR).pressures(NOON)).toEqual([]);
    const empty = tracked([FILLED, anEvent(NOON + 30 * MINUTE, { kind: 'keg-emptied' })], readings, NOON + HOUR);
    expect(empty.pressures(NOON)).toEqual([]);
  });

  test('a fork goes on by itself', () => {
    const track = tracked([FILLED], heard(NOON, NOON + HOUR), NOON + HOUR);
    const fork = track.fork() ?? expect.fail();
    const before = toldBy(track);
    for (const step of stepsOf(track)) fork.advance(step);
    expect(toldBy(track)).toEqual(before);
    expect(tracked([], [], NOON).fork()).toBeNull();
  });
});

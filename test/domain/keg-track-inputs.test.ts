import { describe, expect, test } from 'vitest';
import { STEP_MS } from '../../src/domain/clean/step.ts';
import { type TrackedQuantity, TrackInputs, trackReading } from '../../src/domain/keg-track-inputs.ts';
import { aProbe, aReading, HOUR, MINUTE, NOON } from '../support/builders.ts';

interface Say {
  readonly quantity?: TrackedQuantity;
  readonly probeId?: string;
  readonly absolute?: boolean;
}

function inputs() {
  const track = new TrackInputs();
  const say = (minute: number, value: number, { quantity = 'headspace-pressure', ...say }: Say = {}) =>
    track.add({
      probeId: say.probeId ?? quantity,
      quantity,
      measuredAtMs: NOON + minute * MINUTE,
      value,
      absolute: say.absolute ?? false,
    });
  return { track, say, step: (airStandsIn = false) => track.step(NOON, 101.325, airStandsIn) };
}

describe('a reading for the estimate', () => {
  test('is calibrated, and knows an absolute sensor', () => {
    const probe = aProbe('headspace-pressure', {
      reference: 'absolute',
      calibration: [{ fromMs: 0, offset: 2, gain: 1 }],
    });
    expect(trackReading(probe, aReading(probe.probeId, NOON, 170))).toEqual({
      probeId: probe.probeId,
      quantity: 'headspace-pressure',
      measuredAtMs: NOON,
      value: 172,
      absolute: true,
    });
  });

  test('is none where the estimate does not rest on the quantity', () => {
    expect(trackReading(aProbe('room-co2'), aReading('x', NOON, 600))).toBeNull();
  });
});

describe('a step', () => {
  test('has nothing where nothing was heard, and the air pressure of the altitude', () => {
    expect(inputs().step()).toEqual({
      beerC: null,
      headspaceKpaGauge: null,
      ambientKpaAbsolute: 101.325,
      ambientFromBarometer: false,
    });
  });

  test('takes an absolute sensor less the air pressure, by the barometer while that is fresh', () => {
    const { say, step, track } = inputs();
    say(1, 170, { absolute: true });
    expect(step().headspaceKpaGauge).toBeCloseTo(68.675, 9);
    say(-20, 95, { quantity: 'ambient-pressure' });
    expect(step()).toMatchObject({ headspaceKpaGauge: 75, ambientKpaAbsolute: 95, ambientFromBarometer: true });
    say(41, 170, { absolute: true });
    expect(track.step(NOON + 8 * STEP_MS, 101.325, false).ambientFromBarometer).toBe(false);
  });

  test('has the air for the beer only where the thermometer hangs in it', () => {
    const { say, step } = inputs();
    say(1, 5, { quantity: 'air-temperature' });
    expect(step(false).beerC).toBeNull();
    expect(step(true).beerC).toBe(5);
    say(1, 4, { quantity: 'beer-temperature' });
    expect(step(true).beerC).toBe(4);
  });

  test('of two probes of a quantity takes the one that said more, of equals the first by name', () => {
    for (const order of [
      ['b', 'a'],
      ['a', 'b'],
    ]) {
      const { say, step } = inputs();
      for (const probeId of order) say(1, probeId === 'a' ? 70 : 72, { probeId });
      expect(step().headspaceKpaGauge).toBe(70);
      say(2, 72, { probeId: 'b' });
      expect(step().headspaceKpaGauge).toBe(72);
    }
  });
});

describe('the newest value', () => {
  test('tells how often its probe speaks, and is gauge', () => {
    const { say, track } = inputs();
    for (const minute of [0, 2, 4, 6]) say(minute, 170 + minute, { absolute: true });
    expect(track.newest('headspace-pressure', NOON + HOUR, HOUR, 100)).toEqual({
      probeId: 'headspace-pressure',
      value: 76,
      rhythm: { lastMeasuredAtMs: NOON + 6 * MINUTE, intervalsMs: [2 * MINUTE, 2 * MINUTE, 2 * MINUTE] },
    });
    expect(track.newest('headspace-pressure', NOON + 3 * HOUR, HOUR, 100)).toBeNull();
    expect(track.newest('beer-temperature', NOON + HOUR, HOUR, 100)).toBeNull();
  });

  test('of two probes is that of the one heard last', () => {
    const { say, track } = inputs();
    say(1, 70, { probeId: 'a' });
    say(20, 72, { probeId: 'b' });
    say(3, 71, { probeId: 'a' });
    expect(track.newest('headspace-pressure', NOON + HOUR, HOUR, 0)?.value).toBe(72);
  });
});

test('what was forgotten is gone, what is newer stays', () => {
  const { say, track } = inputs();
  for (const minute of [0, 1, 2, 30, 31]) say(minute, 70 + minute / 100);
  track.forgetBefore(NOON + 30 * MINUTE);
  expect(track.step(NOON, 101, false).headspaceKpaGauge).toBeNull();
  expect(track.step(NOON + 6 * STEP_MS, 101, false).headspaceKpaGauge).toBeCloseTo(70.305, 9);
});

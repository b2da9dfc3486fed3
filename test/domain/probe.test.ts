import { describe, expect, test } from 'vitest';
import { calibrated, probeDirectory } from '../../src/domain/probe.ts';
import { aProbe, HOUR, NOON } from '../support/builders.ts';

describe('calibration', () => {
  const probe = aProbe('beer-temperature', {
    calibration: [
      { fromMs: NOON, offset: -0.5, gain: 1 },
      { fromMs: NOON + HOUR, offset: 0.2, gain: 1.1 },
    ],
  });

  test.each([
    [NOON - 1, 4],
    [NOON, 3.5],
    [NOON + HOUR - 1, 3.5],
    [NOON + HOUR, 4.6],
    [NOON + 100 * HOUR, 4.6],
  ])('the entry in force at %d is applied: gain first, then offset', (atMs, value) => {
    expect(calibrated(probe, 4, atMs)).toBeCloseTo(value, 12);
  });

  test('a probe without one gives its values as they are', () => {
    expect(calibrated(aProbe('beer-temperature'), 4, NOON)).toBe(4);
  });
});

describe('the directory of probes', () => {
  test('knows every default topic without a mapping', () => {
    const directory = probeDirectory([]);
    expect(directory.forTopic('probes/one/beer-temperature')).toEqual([aProbe('beer-temperature')]);
    expect(directory.byId('one.beer-temperature')).toEqual(aProbe('beer-temperature'));
    expect(directory.forTopic('probes/one/nothing')).toEqual([]);
    expect(directory.byId('nothing')).toBeNull();
  });

  test('prefers what somebody mapped', () => {
    const inFahrenheit = aProbe('beer-temperature', { unit: '[degF]' });
    const directory = probeDirectory([inFahrenheit]);
    expect(directory.forTopic(inFahrenheit.topic)).toEqual([inFahrenheit]);
    expect(directory.byId(inFahrenheit.probeId)).toBe(inFahrenheit);
  });

  test('gives all probes that read one topic', () => {
    const topic = 'cellar/board-7';
    const beer = aProbe('beer-temperature', { topic, pointer: '/t' });
    const headspace = aProbe('headspace-pressure', { topic, pointer: '/p' });
    expect(probeDirectory([beer, headspace]).forTopic(topic)).toEqual([beer, headspace]);
  });

  test('a default probe that was moved no longer listens to its old topic', () => {
    const moved = aProbe('beer-temperature', { topic: 'cellar/one' });
    const directory = probeDirectory([moved]);
    expect(directory.forTopic('probes/one/beer-temperature')).toEqual([]);
    expect(directory.forTopic('cellar/one')).toEqual([moved]);
  });
});

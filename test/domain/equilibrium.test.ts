/**
 * Aim: from a probe's reading to the carbonation it means, nothing is lost on the way.
 * Method: published values, entered as a user's probes would send them.
 */
import { describe, expect, test } from 'vitest';
import { equilibriumOrNull, pressureForOrNull } from '../../src/domain/equilibrium.ts';
import { kegFactsAt } from '../../src/domain/keg-facts.ts';
import { collectInputs, type LiveValue } from '../../src/domain/keg-inputs.ts';
import { kegState } from '../../src/domain/keg-state.ts';
import { readSample } from '../../src/domain/sample.ts';
import { aKeg, aLiveValue, aProbe, aSite, aSupply, MINUTE, NOON } from '../support/builders.ts';

/** What is said of a keg whose probes sent these values. */
function stateOf(values: readonly LiveValue[], { altitudeM = 0, co2Ratio = 1 as number | null } = {}) {
  const site = aSite({ altitudeM });
  const inputs = collectInputs(values, null, site, NOON);
  const facts = kegFactsAt([], NOON);
  const supply = aSupply({ co2Ratio });
  return kegState(
    {
      keg: aKeg(),
      adopted: true,
      site,
      supply,
      batch: null,
      facts,
      inputs,
      outlook: null,
      gasCheck: null,
      notices: [],
      holes: [],
      passed: new Set(),
      planned: null,
    },
    NOON,
  );
}

function sent(quantity: 'beer-temperature' | 'headspace-pressure' | 'ambient-pressure', value: number, unit: string) {
  const read = readSample(aProbe(quantity), { value, unit, time: null }, NOON, 'live');
  if (!read.ok) throw new Error(read.reason);
  return aLiveValue(quantity, read.reading.value);
}

describe('equilibrium, from readings to volumes', () => {
  // Worked by hand from the published form V = P·(0.01821 + 0.090115·exp(−(T − 32)/43.11)) − 0.003342 with P = 11.3 + 14.696
  // psi and T = 38 °F: 25.996 · (0.01821 + 0.090115 · 0.87007) − 0.003342 = 2.508.
  test('38 °F and 11.3 psi at sea level', () => {
    const state = stateOf([sent('beer-temperature', 38, '[degF]'), sent('headspace-pressure', 11.3, '[psi]')]);
    expect(Math.abs((state.equilibriumVolumes ?? 0) - 2.51)).toBeLessThan(0.02);
    expect(state.beerTemperatureC).toBeCloseTo(10 / 3, 9);
    expect(state.headspaceKpaGauge).toBeCloseTo(77.91, 2);
  });

  // Source: the same chart, row 38 °F.
  test.each([
    [10, 2.38],
    [12, 2.57],
  ])('38 °F and %d psi: the chart says %d', (psi, charted) => {
    const state = stateOf([sent('beer-temperature', 38, '[degF]'), sent('headspace-pressure', psi, '[psi]')]);
    expect(Math.abs((state.equilibriumVolumes ?? 0) - charted)).toBeLessThan(0.05);
  });

  test('units make no difference', () => {
    const inBar = stateOf([sent('beer-temperature', 277.15, 'K'), sent('headspace-pressure', 0.7, 'bar')]);
    const inKpa = stateOf([sent('beer-temperature', 4, 'Cel'), sent('headspace-pressure', 70, 'kPa')]);
    expect(inBar.equilibriumVolumes).toBeCloseTo(inKpa.equilibriumVolumes ?? 0, 9);
  });

  test('the same gauge pressure holds less up a mountain', () => {
    const values = [sent('beer-temperature', 4, 'Cel'), sent('headspace-pressure', 70, 'kPa')];
    const low = stateOf(values).equilibriumVolumes ?? 0;
    const high = stateOf(values, { altitudeM: 1524 }).equilibriumVolumes ?? 0;
    // 12.230 psi of air at 5,000 ft (an engineering table after the U.S. Standard Atmosphere 1976), 14.696 at sea level.
    expect(high / low).toBeCloseTo((70 / 6.894757 + 12.23) / (70 / 6.894757 + 14.696), 3);
  });

  test('a barometer outweighs the altitude', () => {
    const values = [
      sent('beer-temperature', 4, 'Cel'),
      sent('headspace-pressure', 70, 'kPa'),
      sent('ambient-pressure', 950, 'mbar'),
    ];
    const state = stateOf(values);
    expect(state.ambient).toEqual({ kpaAbsolute: 95, from: 'barometer' });
    expect(state.equilibriumVolumes).toBeCloseTo(equilibriumOrNull(4, 70, 95, 1) ?? 0, 12);
  });

  test('mixed gas counts by its share of the absolute pressure', () => {
    const values = [sent('beer-temperature', 4, 'Cel'), sent('headspace-pressure', 200, 'kPa')];
    const quarter = stateOf(values, { co2Ratio: 0.25 }).equilibriumVolumes;
    expect(quarter).toBeCloseTo(equilibriumOrNull(4, (200 + 101.325) * 0.25 - 101.325, 101.325, 1) ?? 0, 12);
  });

  test('mixed gas of unknown share says nothing', () => {
    const values = [sent('beer-temperature', 4, 'Cel'), sent('headspace-pressure', 200, 'kPa')];
    expect(stateOf(values, { co2Ratio: null }).equilibriumVolumes).toBeNull();
  });

  test('rests on nothing stale, and shows the stale value all the same', () => {
    const state = stateOf([
      aLiveValue('beer-temperature', 4, { ageMs: 13 * MINUTE }),
      aLiveValue('headspace-pressure', 70),
    ]);
    expect(state.equilibriumVolumes).toBeNull();
    expect(state.beerTemperatureC).toBe(4);
  });

  test('still rests on what is late', () => {
    const state = stateOf([
      aLiveValue('beer-temperature', 4, { ageMs: 12 * MINUTE }),
      aLiveValue('headspace-pressure', 70, { ageMs: 12 * MINUTE }),
    ]);
    expect(state.equilibriumVolumes).not.toBeNull();
  });

  test('without probes nothing is known', () => {
    expect(stateOf([])).toMatchObject({
      beerTemperatureC: null,
      headspaceKpaGauge: null,
      equilibriumVolumes: null,
      regulatorKpaGauge: null,
    });
  });

  test('a regulator probe outweighs what was entered', () => {
    expect(stateOf([aLiveValue('regulator-pressure', 81)]).regulatorKpaGauge).toBe(81);
  });
});

describe('outside what can be computed', () => {
  test.each([
    [-4, 70, 101.325],
    [41, 70, 101.325],
    [4, -102, 101.325],
    [4, 1000, 101.325],
    [Number.NaN, 70, 101.325],
  ])('%d °C and %d kPa give nothing', (beerC, kpaGauge, ambient) => {
    expect(equilibriumOrNull(beerC, kpaGauge, ambient, 1)).toBeNull();
  });

  test('neither is there a pressure for it', () => {
    expect(pressureForOrNull(11, 4, 101.325, 1)).toBeNull();
    expect(pressureForOrNull(2.4, 60, 101.325, 1)).toBeNull();
    expect(pressureForOrNull(2.4, 4, 101.325, null)).toBeNull();
  });

  test('the pressure for a carbonation gives it back, mixed gas included', () => {
    for (const ratio of [1, 0.6]) {
      const kpaGauge = pressureForOrNull(2.4, 3, 95, ratio) ?? Number.NaN;
      expect(equilibriumOrNull(3, kpaGauge, 95, ratio)).toBeCloseTo(2.4, 12);
    }
  });

  test('a mistake of ours is no answer', () => {
    const broken = Object.defineProperty({}, Symbol.toPrimitive, {
      value: () => {
        throw new TypeError('not a number');
      },
    }) as unknown as number;
    expect(() => equilibriumOrNull(broken, 70, 101.325, 1)).toThrow(TypeError);
  });
});

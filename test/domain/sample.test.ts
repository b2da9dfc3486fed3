import { describe, expect, test } from 'vitest';
import { QUANTITY_RULES, type Quantity } from '../../src/domain/quantity.ts';
import { readSample, type Sample, type SampleTime, type TimePolicy } from '../../src/domain/sample.ts';
import { aProbe, DAY, HOUR, MINUTE, NOON, SECOND } from '../support/builders.ts';

const sample = (value: number, unit: string | null = null, time: SampleTime | null = null): Sample => {
  return { value, unit, time };
};

function asBase(quantity: Quantity, value: number, unit: string | null = null): number | string {
  const outcome = readSample(aProbe(quantity), sample(value, unit), NOON, 'live');
  return outcome.ok ? outcome.reading.value : outcome.reason;
}

function timeOf(time: SampleTime, policy: TimePolicy = 'live', timeUnit: 's' | 'ms' | null = null) {
  const probe = aProbe('beer-temperature', { timeUnit });
  const outcome = readSample(probe, sample(4, null, time), NOON, policy);
  if (!outcome.ok) throw new Error(outcome.reason);
  return [outcome.reading.measuredAtMs - NOON, outcome.reading.timeFrom];
}

describe('units', () => {
  // Exact by definition. Source: NIST SP 811 (2008), appendix B.8 and B.9; UCUM 2.2.
  test.each<[Quantity, number, string, number]>([
    ['beer-temperature', 38, '[degF]', 10 / 3],
    ['beer-temperature', 277.15, 'K', 4],
    ['headspace-pressure', 1, 'bar', 100],
    ['headspace-pressure', 620, 'mbar', 62],
    ['headspace-pressure', 62_000, 'Pa', 62],
    ['headspace-pressure', 10, '[psi]', 68.94757293168],
    ['keg-mass', 500, 'g', 0.5],
    ['keg-mass', 10, '[lb_av]', 4.5359237],
    ['room-co2', 450, '[ppm]', 450],
    ['beer-flow', 500, 'mL', 0.5],
  ])('%s: %d %s', (quantity, value, unit, base) => {
    expect(asBase(quantity, value, unit)).toBeCloseTo(base, 9);
  });

  test('a value without a unit is in the unit of its probe, else of its quantity', () => {
    const probe = aProbe('beer-temperature', { unit: '[degF]' });
    const own = readSample(probe, sample(32), NOON, 'live');
    expect(own.ok && own.reading.value).toBeCloseTo(0, 12);
    expect(asBase('beer-temperature', 4)).toBe(4);
    expect(asBase('headspace-pressure', 62)).toBe(62);
    const named = readSample(probe, sample(4, 'Cel'), NOON, 'live');
    expect(named.ok && named.reading.value).toBe(4);
  });

  test('an unknown unit is named, with one to use instead', () => {
    expect(asBase('beer-temperature', 4, 'celsius')).toBe('unit celsius is unknown; use a UCUM code such as Cel');
  });

  test('a unit of another dimension is refused', () => {
    expect(asBase('beer-temperature', 4, 'kPa')).toBe(
      'beer-temperature is a temperature, but kPa is a unit of pressure',
    );
  });
});

describe('values that cannot be true', () => {
  // Source: data sheets of 1-Wire thermometers (power-on value 85 °C); −127 °C is drivers' common practice, no source.
  test.each([85, -127])('%d °C is what a thermometer says when it has no value', (value) => {
    expect(asBase('beer-temperature', value)).toMatch(/when it has no value/);
    expect(asBase('air-temperature', value, 'Cel')).toMatch(/when it has no value/);
  });

  test('85 and −127 in other units are ordinary', () => {
    expect(asBase('air-temperature', 85, '[degF]')).toBeCloseTo(29.444, 3);
    expect(asBase('headspace-pressure', 85)).toBe(85);
  });

  test('85 °C sent in other units is out of range at least', () => {
    expect(asBase('beer-temperature', 185, '[degF]')).toMatch(/outside/);
  });

  test.each(Object.entries(QUANTITY_RULES))('%s is taken within its limits and not beyond', (name, rule) => {
    const quantity = name as Quantity;
    expect(asBase(quantity, rule.low)).toBe(rule.low);
    expect(asBase(quantity, rule.high)).toBe(rule.high);
    expect(asBase(quantity, rule.low - 0.001)).toMatch(/is outside what/);
    expect(asBase(quantity, rule.high + 0.001)).toMatch(/is outside what/);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])('%d is refused', (value) => {
    expect(asBase('beer-temperature', value)).toMatch(/is outside what/);
  });

  test('an absolute sensor has room for the air pressure above the limit', () => {
    const absolute = aProbe('headspace-pressure', { reference: 'absolute' });
    expect(readSample(absolute, sample(1600), NOON, 'live').ok).toBe(true);
    expect(readSample(absolute, sample(1621), NOON, 'live').ok).toBe(false);
    const barometer = aProbe('ambient-pressure', { reference: 'absolute' });
    expect(readSample(barometer, sample(116), NOON, 'live').ok).toBe(false);
  });
});

describe('time of a live message', () => {
  const at = (offsetMs: number): SampleTime => ({ kind: 'instant', atMs: NOON + offsetMs });

  test('is the time of receipt if it names none', () => {
    const outcome = readSample(aProbe('beer-temperature'), sample(4), NOON, 'live');
    expect(outcome).toEqual({
      ok: true,
      reading: {
        probeId: 'one.beer-temperature',
        measuredAtMs: NOON,
        value: 4,
        receivedAtMs: NOON,
        timeFrom: 'receipt',
      },
    });
  });

  test.each([-7 * DAY, -7 * DAY + 1, 0, 2 * MINUTE - 1, 2 * MINUTE])('%d ms from receipt is believed', (offsetMs) => {
    expect(timeOf(at(offsetMs))).toEqual([offsetMs, 'device']);
  });

  test.each([-7 * DAY - 1, 2 * MINUTE + 1, -NOON, 50 * 365 * DAY])('%d ms from receipt is not', (offsetMs) => {
    expect(timeOf(at(offsetMs))).toEqual([0, 'receipt-device-refused']);
  });

  test('in Unix seconds and milliseconds is told apart by its size', () => {
    expect(timeOf({ kind: 'number', value: (NOON - HOUR) / 1000 })).toEqual([-HOUR, 'device']);
    expect(timeOf({ kind: 'number', value: NOON - HOUR })).toEqual([-HOUR, 'device']);
  });

  test('keeps to the unit that is pinned for the probe', () => {
    const seconds = { kind: 'number', value: NOON / 1000 } as const;
    const milliseconds = { kind: 'number', value: NOON } as const;
    expect(timeOf(seconds, 'live', 's')).toEqual([0, 'device']);
    expect(timeOf(milliseconds, 'live', 'ms')).toEqual([0, 'device']);
    expect(timeOf(milliseconds, 'live', 's')).toEqual([0, 'receipt-device-refused']);
    expect(timeOf(seconds, 'live', 'ms')).toEqual([0, 'receipt-device-refused']);
  });

  test('with fractions of a millisecond is rounded, as stores want whole ones', () => {
    expect(timeOf({ kind: 'number', value: (NOON + 0.4) / 1000 }, 'live', 's')).toEqual([0, 'device']);
    expect(timeOf({ kind: 'number', value: NOON - 0.6 })).toEqual([-1, 'device']);
  });

  test('of a device that counts from its start, or from 1970, is not believed', () => {
    expect(timeOf({ kind: 'number', value: 4711 })).toEqual([0, 'receipt-device-refused']);
    expect(timeOf({ kind: 'instant', atMs: 0 })).toEqual([0, 'receipt-device-refused']);
    expect(timeOf({ kind: 'number', value: -1 })).toEqual([0, 'receipt-device-refused']);
    expect(timeOf({ kind: 'instant', atMs: Number.NaN })).toEqual([0, 'receipt-device-refused']);
  });

  test('relative to now counts from the receipt', () => {
    expect(timeOf({ kind: 'relative', offsetMs: -5 * SECOND })).toEqual([-5000, 'device']);
    expect(timeOf({ kind: 'relative', offsetMs: 3 * MINUTE })).toEqual([0, 'receipt-device-refused']);
  });
});

describe('time of an imported message', () => {
  test.each([-DAY * 365 * 20, -8 * DAY, 2 * MINUTE])('%d ms from receipt is believed', (offsetMs) => {
    expect(timeOf({ kind: 'instant', atMs: NOON + offsetMs }, 'import')).toEqual([offsetMs, 'device']);
  });

  test.each([-NOON, -NOON - DAY, 2 * MINUTE + 1, Date.UTC(2100, 0, 1) - NOON])('%d ms is not', (offsetMs) => {
    expect(timeOf({ kind: 'instant', atMs: NOON + offsetMs }, 'import')).toEqual([0, 'receipt-device-refused']);
  });

  test('past the year 2099 is nobody’s, even for a clock that is itself wrong', () => {
    const lateMs = Date.UTC(2101, 0, 1);
    const outcome = readSample(
      aProbe('beer-temperature'),
      sample(4, null, { kind: 'instant', atMs: Date.UTC(2100, 0, 1) }),
      lateMs,
      'import',
    );
    expect(outcome.ok && outcome.reading.timeFrom).toBe('receipt-device-refused');
  });
});

import { expect, test } from 'vitest';
import { toBaseUnit } from '../../src/physics/units.ts';
import { createCellar } from '../../src/simulate/cellar.ts';
import { type PayloadForm, writePayload } from '../../src/simulate/payload.ts';
import type { ProbeFault, ProbeMessage, ProbeSetup } from '../../src/simulate/probe.ts';
import { HOUR_MS, oneKegSetup, START_MS } from './one-keg.ts';

const AT_MS = Date.UTC(2026, 2, 1, 12, 0, 0);
const PLAIN: PayloadForm = { shape: 'number', unit: 'Cel', time: null, decimals: 3 };

const thermometer = (changes: Partial<ProbeSetup> = {}): ProbeSetup => ({
  topic: 'probes/one/beer-temperature',
  quantity: 'beer-temperature',
  of: 'one',
  form: PLAIN,
  noise: 0.03,
  everyMs: 60_000,
  ...changes,
});

function run(probes: ProbeSetup[], hours: number, stepsMs: readonly number[] = []): ProbeMessage[] {
  const cellar = createCellar(oneKegSetup({ probes }));
  const messages: ProbeMessage[] = [];
  for (const ms of stepsMs) messages.push(...cellar.advanceTo(START_MS + ms));
  messages.push(...cellar.advanceTo(START_MS + hours * HOUR_MS));
  return messages;
}

type WithoutTimes<F> = F extends unknown ? Omit<F, 'fromMs' | 'untilMs'> : never;
const faulty = (fault: WithoutTimes<ProbeFault>): ProbeSetup =>
  thermometer({ faults: [{ ...fault, fromMs: START_MS + HOUR_MS, untilMs: START_MS + 2 * HOUR_MS }] });
const during = (messages: ProbeMessage[]) =>
  messages.filter(({ atMs }) => atMs >= START_MS + HOUR_MS && atMs < START_MS + 2 * HOUR_MS);

test('messages and truth do not depend on how finely the cellar is advanced', () => {
  const probes = [
    thermometer({
      lagS: 90,
      everyMs: 7000,
      faults: [
        { kind: 'late', chance: 0.2, byMs: 95_000, fromMs: 0, untilMs: Number.POSITIVE_INFINITY },
        { kind: 'held', fromMs: START_MS + HOUR_MS, untilMs: START_MS + 2 * HOUR_MS },
      ],
    }),
    thermometer({ topic: 'other', quantity: 'headspace-pressure', form: { ...PLAIN, unit: 'kPa' } }),
  ];
  const steps = [1, 999, 20_000, 20_001, 59_999, 60_000, 61_234, 1_000_000, 3_700_000, 3_700_001];
  expect(run(probes, 3, steps)).toEqual(run(probes, 3));
  const other = createCellar({ ...oneKegSetup({ probes }), seed: 2 }).advanceTo(START_MS + 3 * HOUR_MS);
  expect(other).not.toEqual(run(probes, 3));
});

test('an act at run time does the same as one on the timeline', () => {
  const act = { kind: 'close-gas' } as const;
  const planned = createCellar(oneKegSetup({ acts: [{ atMs: START_MS + HOUR_MS + 5, act }] }));
  const live = createCellar(oneKegSetup());
  live.advanceTo(START_MS + HOUR_MS + 5);
  live.act('one', act);
  planned.advanceTo(START_MS + 9 * HOUR_MS);
  live.advanceTo(START_MS + 9 * HOUR_MS);
  expect(live.truth('one')).toEqual(planned.truth('one'));
  expect(live.truth('one')?.gasOpen).toBe(false);
});

test('a cellar refuses to go back, and strangers', () => {
  const cellar = createCellar(oneKegSetup());
  cellar.advanceTo(START_MS + 5000);
  expect(() => cellar.advanceTo(START_MS)).toThrow('cannot go back');
  expect(() => cellar.act('two', { kind: 'open-gas' })).toThrow('two');
  expect(() => cellar.act('one', { kind: 'fail-fridge' })).toThrow('one');
  expect(() => cellar.truth('two')).toThrow('two');
});

test('a value is written in each form', () => {
  const form = (changes: Partial<PayloadForm>) =>
    writePayload(4.1, AT_MS, 'beer-temperature', { ...PLAIN, ...changes });
  expect(form({})).toBe('4.1');
  expect(form({ unit: '[degF]', decimals: 2 })).toBe('39.38');
  expect(JSON.parse(form({ shape: 'object', time: 'rfc3339' }))).toEqual({
    value: 4.1,
    unit: 'Cel',
    time: '2026-03-01T12:00:00.000Z',
  });
  expect(JSON.parse(form({ shape: 'object', time: 'unix-s' })).time).toBe(AT_MS / 1000);
  expect(JSON.parse(form({ shape: 'object', time: 'unix-ms' })).time).toBe(AT_MS);
  expect(JSON.parse(form({ shape: 'object' }))).toEqual({ value: 4.1, unit: 'Cel' });
  // RFC 8428: n, u, v and t in Unix seconds; pressure has the unit Pa there and nothing else.
  expect(JSON.parse(form({ shape: 'senml', time: 'unix-s' }))).toEqual([
    { n: 'beer-temperature', u: 'Cel', v: 4.1, t: AT_MS / 1000 },
  ]);
  const pascal = writePayload(82.5, AT_MS, 'headspace-pressure', {
    shape: 'senml',
    unit: 'bar',
    time: null,
    decimals: 2,
  });
  expect(JSON.parse(pascal)).toEqual([{ n: 'headspace-pressure', u: 'Pa', v: 82_500 }]);
});

test.each(['kPa', 'bar', 'mbar', '[psi]', 'Pa'])('a pressure written in %s reads back', (unit) => {
  const text = writePayload(82.5, AT_MS, 'headspace-pressure', { shape: 'object', unit, time: null, decimals: 6 });
  expect(toBaseUnit(JSON.parse(text).value, unit)).toBeCloseTo(82.5, 3);
});

test('faults of a probe: silent, doubled, sentinel, stuck, wild, lost, late, held, skewed', () => {
  expect(during(run([faulty({ kind: 'silent' })], 3)).length).toBe(0);
  expect(during(run([faulty({ kind: 'doubled', chance: 1 })], 3)).length).toBe(120);
  expect(during(run([faulty({ kind: 'sentinel', chance: 1, value: 85 })], 3))[0]?.payload).toBe('85');
  expect(new Set(during(run([faulty({ kind: 'stuck' })], 3)).map(({ payload }) => payload)).size).toBe(1);
  const wild = during(run([faulty({ kind: 'wild', chance: 1, spread: 30 })], 3)).map((m) => Number(m.payload));
  expect(Math.max(...wild) - Math.min(...wild)).toBeGreaterThan(30);
  const kept = during(run([faulty({ kind: 'lost', chance: 0.5 })], 3)).length;
  expect(kept).toBeGreaterThan(10);
  expect(kept).toBeLessThan(50);
  const late = during(run([faulty({ kind: 'late', chance: 1, byMs: 600_000 })], 3));
  expect(late.every((message) => message.deliverAtMs === message.atMs + 600_000)).toBe(true);
  const held = during(run([faulty({ kind: 'held' })], 3));
  expect(new Set(held.map(({ deliverAtMs }) => deliverAtMs))).toEqual(new Set([START_MS + 2 * HOUR_MS]));
  const skewed = thermometer({
    form: { ...PLAIN, shape: 'object', time: 'unix-ms' },
    faults: [{ kind: 'clock-skew', byMs: -HOUR_MS, fromMs: 0, untilMs: Number.POSITIVE_INFINITY }],
  });
  const [first] = run([skewed], 1);
  expect(JSON.parse(first?.payload ?? '{}').time).toBe((first?.atMs ?? 0) - HOUR_MS);
});

test('a message is delivered when it arrives, not when it was measured', () => {
  const probe = thermometer({
    faults: [{ kind: 'late', chance: 1, byMs: 600_000, fromMs: 0, untilMs: Number.POSITIVE_INFINITY }],
  });
  const cellar = createCellar(oneKegSetup({ probes: [probe] }));
  expect(cellar.advanceTo(START_MS + 600_000).length).toBe(0);
  expect(cellar.advanceTo(START_MS + 700_000).length).toBe(1);
});

test('an absolute sensor reads the air pressure on top, an offset and a drift show', () => {
  const gauge = (changes: Partial<ProbeSetup>) => ({
    ...thermometer({ quantity: 'headspace-pressure', form: { ...PLAIN, unit: 'kPa' }, noise: 0, ...changes }),
    topic: JSON.stringify(changes),
  });
  const messages = run([gauge({}), gauge({ reference: 'absolute' }), gauge({ offset: 3, driftPerDay: 24 })], 2);
  const last = messages.slice(-3).map(({ payload }) => Number(payload));
  const [plain = 0, absolute = 0, shifted = 0] = last;
  expect(absolute - plain).toBeGreaterThan(96);
  expect(absolute - plain).toBeLessThan(102);
  expect(shifted - plain).toBeCloseTo(3 + 2, 1);
});

test('where a thermometer sits decides what it feels while the beer cools', () => {
  const places = (['thermowell', 'wall', 'air'] as const).map((placement) =>
    thermometer({ topic: placement, placement, noise: 0 }),
  );
  const cellar = createCellar(oneKegSetup({ probes: places, keg: { beerC: 20 } }));
  const [well = 0, wall = 0, air = 0] = cellar
    .advanceTo(START_MS + 3 * HOUR_MS)
    .slice(-3)
    .map(({ payload }) => Number(payload));
  expect(well).toBeGreaterThan(wall + 0.5);
  expect(wall).toBeGreaterThan(air + 3);
});

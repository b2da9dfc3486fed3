import { expect, test } from 'vitest';
import { EventEntry } from '../../src/contract/index.ts';
import { build, record, SITUATIONS } from '../../src/simulate/situations/catalogue.ts';
import type { Situation } from '../../src/simulate/situations/situation.ts';
import type { KegReport } from '../../src/simulate/truth.ts';

const HOUR_MS = 3_600_000;
const SLOW = { everyMs: 1_800_000 };

function named(name: string): Situation {
  const situation = SITUATIONS.find((other) => other.name === name);
  if (situation === undefined) throw new Error(`no situation ${name}`);
  return situation;
}

/** The value of a message, whichever of the three shapes it has. */
function readValue(payload: string): number {
  const parsed: unknown = JSON.parse(payload);
  const record = Array.isArray(parsed) ? parsed[0] : parsed;
  return typeof record === 'number' ? record : (record.value ?? record.v);
}

/** What no keg can be: numbers that are none, values out of this world, CO2 lost or made. */
function whatIsWrong({ co2, ...truth }: KegReport, begunMol: number): string[] {
  const numbers = [...Object.values(truth), ...Object.values(co2)].filter((value) => typeof value === 'number');
  const keptMol = co2.dissolvedMol + co2.headspaceMol - co2.inMol + co2.outMol - co2.madeMol;
  const rules: [string, boolean][] = [
    ['a number is not finite', numbers.every(Number.isFinite)],
    [`${truth.chartVolumes} volumes`, truth.chartVolumes > 0.3 && truth.chartVolumes < 5],
    [`beer at ${truth.beerC} Cel`, truth.beerC > -3 && truth.beerC < 26],
    [`${truth.headspaceKpaGauge} kPa gauge`, truth.headspaceKpaGauge > -15 && truth.headspaceKpaGauge < 320],
    [`CO2 off by ${keptMol / begunMol - 1}`, Math.abs(keptMol / begunMol - 1) < 1e-9],
  ];
  return rules.filter(([, holds]) => !holds).map(([what]) => `${what} at ${new Date(truth.atMs).toISOString()}`);
}

test('names are unique and every group has its situations', () => {
  expect(SITUATIONS.length).toBeGreaterThanOrEqual(50);
  expect(new Set(SITUATIONS.map(({ name }) => name)).size).toBe(SITUATIONS.length);
  expect(new Set(SITUATIONS.map(({ group }) => group)).size).toBe(9);
});

test.each(SITUATIONS.map(({ name }) => name))('%s stays a possible keg for its whole length', (name) => {
  // One seed for the whole length, others for the days in which most happens.
  for (const [seed, changes] of [
    [11, SLOW],
    [12, { ...SLOW, days: 2 }],
    [13, { ...SLOW, days: 2 }],
  ] as const) {
    const { truths, messages, events, startMs, endMs } = record(named(name), seed, 12 * HOUR_MS, changes);
    expect(truths.length).toBe((endMs - startMs) / (12 * HOUR_MS));
    const first = truths[0]?.co2;
    if (first === undefined) throw new Error(`${name}, seed ${seed}: nothing was recorded`);
    const begun = first.dissolvedMol + first.headspaceMol - first.inMol + first.outMol - first.madeMol;
    const wrong = truths.flatMap((truth) => whatIsWrong(truth, begun));
    expect(wrong).toEqual([]);
    expect(messages.length).toBeGreaterThan((0.9 * 2 * (endMs - startMs)) / SLOW.everyMs - 60);
    expect(messages.every(({ payload }) => Number.isFinite(readValue(payload)))).toBe(true);
    for (const event of events) EventEntry.parse(event);
    expect(events[0]?.kind).toBe('keg-filled');
    if (seed === 11) expect(events.every(({ at }) => Date.parse(at) >= startMs && Date.parse(at) <= endMs)).toBe(true);
  }
});

test('a situation is the same for the same seed and another for another', () => {
  const [once, again, other] = [1, 1, 2].map((seed) =>
    record(named('draws'), seed, 24 * HOUR_MS, { ...SLOW, days: 3 }),
  );
  expect(again).toEqual(once);
  expect(other?.truths).not.toEqual(once?.truths);
});

test('what is entered by mistake is not what happened', () => {
  const run = build(named('valve-not-turned'), 1, SLOW);
  const closed = run.events.find(({ kind }) => kind === 'gas-closed');
  run.cellar.skipTo(Date.parse(closed?.at ?? '') + HOUR_MS);
  expect(run.cellar.truth(run.kegId)?.gasOpen).toBe(true);

  const silent = build(named('closing-not-entered'), 1, SLOW);
  silent.cellar.skipTo(silent.startMs + 70 * HOUR_MS);
  expect(silent.cellar.truth(silent.kegId)?.gasOpen).toBe(false);
  expect(silent.events.some(({ kind }) => kind === 'gas-closed')).toBe(false);

  const unpurged = build(named('never-purged'), 1, SLOW);
  unpurged.cellar.skipTo(unpurged.startMs + 24 * HOUR_MS);
  expect(unpurged.cellar.truth(unpurged.kegId)?.airKpa).toBeGreaterThan(60);

  const wrong = build(named('wrong-regulator-reading'), 1, SLOW);
  wrong.cellar.skipTo(wrong.startMs + 24 * HOUR_MS);
  const entered = wrong.events.find((event) => event.kind === 'regulator-set');
  expect(entered?.kind === 'regulator-set' && entered.kpaGauge).toBe(80);
  expect(wrong.cellar.truth(wrong.kegId)?.headspaceKpaGauge).toBeLessThan(72);
});

test('leaks, an empty cylinder and a creeping regulator show in the truth', () => {
  const last = (name: string) => record(named(name), 3, 24 * HOUR_MS, SLOW).truths;
  expect(last('leak-begins-while-closed').at(-1)?.headspaceKpaGauge).toBeLessThan(40);
  expect(last('line-leak').some(({ cylinderKg }) => cylinderKg < 0.8)).toBe(true);
  expect(last('cylinder-empty').some(({ headspaceKpaGauge }) => headspaceKpaGauge < 30)).toBe(true);
  const creep = last('regulator-creep');
  expect((creep.at(-1)?.headspaceKpaGauge ?? 0) - (creep[0]?.headspaceKpaGauge ?? 0)).toBeGreaterThan(15);
  expect(Math.max(...last('fridge-failure').map(({ beerC }) => beerC))).toBeGreaterThan(5);
  expect(last('leak-large-on-gas').at(-1)?.leaking).toBe(true);
});

test('bad messages are bad, and a silent probe is silent', () => {
  const bad = record(named('bad-messages'), 4, 24 * HOUR_MS, { everyMs: 60_000 });
  const values = bad.messages.map(({ payload }) => readValue(payload));
  expect(values).toContain(85);
  expect(values).toContain(-127);
  expect(bad.messages.some(({ atMs, deliverAtMs }) => deliverAtMs > atMs)).toBe(true);
  const silent = record(named('probe-silent-12h'), 4, 24 * HOUR_MS, { everyMs: 60_000 }).messages;
  const gaps = silent.slice(1).map(({ atMs }, index) => atMs - (silent[index]?.atMs ?? 0));
  expect(Math.max(...gaps)).toBe(12 * HOUR_MS + 60_000);
});

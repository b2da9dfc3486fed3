import { expect, test } from 'vitest';
import {
  BatchStart,
  BottleEntry,
  BottleId,
  EventEntry,
  FillChange,
  FillStart,
  KegChange,
  PlaceChange,
  SiteChange,
  SupplyChange,
} from '../../src/contract/index.ts';
import { demoCellar } from '../../src/simulate/demo.ts';
import { DEMO_KEGS } from '../../src/simulate/demo-club.ts';

const ANCHOR_MS = Date.UTC(2026, 2, 14, 18, 3, 7, 123);
const DAY_MS = 86_400_000;

test('each keg of the demo is at the stage that it shows', () => {
  const { cellar } = demoCellar({ seed: 1, anchorMs: ANCHOR_MS });
  cellar.advanceTo(ANCHOR_MS);
  const [left, middle, right] = ['left', 'middle', 'right'].map((kegId) => cellar.truth(kegId));
  if (!left || !middle || !right) throw new Error('a keg of the demo is not filled at its anchor');

  expect(left.beerC).toBeGreaterThan(0.8);
  expect(left.beerC).toBeLessThan(2);
  expect(left.chartVolumes).toBeGreaterThan(2.1);
  expect(left.chartVolumes).toBeLessThan(2.4);
  expect(left.headspaceKpaGauge).toBeGreaterThan(57);

  expect(middle.beerC).toBeGreaterThan(2.5);
  expect(middle.chartVolumes).toBeGreaterThan(0.95);
  expect(middle.chartVolumes).toBeLessThan(1.6);
  expect(middle.equilibriumChartVolumes).toBeGreaterThan(2);

  expect(right.headspaceKpaGauge).toBeGreaterThan(90);
  expect(right.headspaceKpaGauge).toBeLessThan(94);
  expect(right.chartVolumes).toBeLessThan(2.5);
  expect(right.equilibriumChartVolumes).toBeGreaterThan(2.6);
});

test('weeks later the beers stand at their equilibrium, with beer in the kegs and gas in the cylinders', () => {
  const { cellar } = demoCellar({ seed: 2, anchorMs: ANCHOR_MS, liveEveryMs: 3_600_000 });
  cellar.advanceTo(ANCHOR_MS + 40 * DAY_MS);
  for (const kegId of ['left', 'middle', 'right']) {
    const truth = cellar.truth(kegId);
    if (!truth) throw new Error(`${kegId} is gone`);
    expect(Math.abs(truth.chartVolumes - truth.equilibriumChartVolumes)).toBeLessThan(0.08);
    expect(truth.beerL).toBeGreaterThan(10);
    expect(truth.cylinderKg).toBeGreaterThan(1);
  }
});

test('a demo created again from its anchor publishes the same messages, and reports each minute, then every ten seconds', () => {
  const nowMs = ANCHOR_MS + 5 * 60_000;
  const first = demoCellar({ seed: 3, anchorMs: ANCHOR_MS });
  const once = [...first.cellar.advanceTo(ANCHOR_MS), ...first.cellar.advanceTo(nowMs)];
  const again = demoCellar({ seed: 3, anchorMs: ANCHOR_MS }).cellar.advanceTo(nowMs);
  expect(again).toEqual(once);

  const times = once.filter(({ topic }) => topic === 'probes/left/beer-temperature').map(({ atMs }) => atMs);
  const live = times.filter((ms) => ms >= ANCHOR_MS);
  expect(live[0]).toBe(ANCHOR_MS);
  expect(live.length).toBe(31);
  expect(times.length - live.length).toBe(Math.ceil((ANCHOR_MS - (times[0] ?? 0)) / 60_000));
});

test('what was published before can be skipped', () => {
  const written = demoCellar({ seed: 5, anchorMs: ANCHOR_MS });
  written.cellar.advanceTo(ANCHOR_MS);
  const skipped = demoCellar({ seed: 5, anchorMs: ANCHOR_MS });
  skipped.cellar.skipTo(ANCHOR_MS);
  expect(skipped.cellar.advanceTo(ANCHOR_MS + 60_000)).toEqual(written.cellar.advanceTo(ANCHOR_MS + 60_000));
});

test('every message of the demo carries its own time', () => {
  const { cellar, historyStartMs } = demoCellar({ seed: 4, anchorMs: ANCHOR_MS });
  const messages = [...cellar.advanceTo(historyStartMs + 2 * 3_600_000)];
  expect(new Set(messages.map(({ topic }) => topic)).size).toBe(8);
  for (const { payload, atMs } of messages) {
    const parsed = JSON.parse(payload);
    if (Array.isArray(parsed)) expect(Math.round(parsed[0].t * 1000)).toBe(atMs);
    else expect(Date.parse(parsed.time)).toBe(atMs);
  }
});

test('what the demo enters is what the service accepts', () => {
  const { seedCatalogue, historyStartMs } = demoCellar({ seed: 1, anchorMs: ANCHOR_MS });
  SiteChange.parse(seedCatalogue.site);
  for (const { body } of seedCatalogue.places) PlaceChange.parse(body);
  for (const { body } of seedCatalogue.supplies) SupplyChange.parse(body);
  for (const { body } of seedCatalogue.kegs) KegChange.parse(body);
  for (const { body } of seedCatalogue.batches) BatchStart.parse(body);
  for (const { body } of seedCatalogue.events) {
    EventEntry.parse(body);
    expect(Date.parse(body.at)).toBeGreaterThanOrEqual(historyStartMs);
    expect(Date.parse(body.at)).toBeLessThanOrEqual(ANCHOR_MS);
  }
  for (const { start, bottles, end } of seedCatalogue.fills) {
    FillStart.parse(start);
    FillChange.parse(end);
    for (const { bottleId, body } of bottles) {
      BottleId.parse(bottleId);
      BottleEntry.parse(body);
    }
  }
});

test('the beer that was filled into bottles truly left the keg', () => {
  const { seedCatalogue, cellar } = demoCellar({ seed: 1, anchorMs: ANCHOR_MS });
  const [fill] = seedCatalogue.fills;
  const keg = DEMO_KEGS.find(({ kegId }) => kegId === fill?.start.kegId);
  if (fill === undefined || keg === undefined) throw new Error('the demo has no fill');
  expect(fill.bottles).toHaveLength(12);
  expect(fill.bottles.filter(({ body }) => body.note === 'foamy')).toHaveLength(2);
  const bottledL = fill.bottles.reduce((sum, { body }) => sum + (body.sizeL ?? 0), fill.end.lostL ?? 0);
  const drawnL = keg.draws.reduce((sum, { litres }) => sum + litres, 0);
  cellar.advanceTo(ANCHOR_MS);
  expect(cellar.truth('left')?.beerL).toBeCloseTo(keg.beerLitres - drawnL - bottledL, 3);
});

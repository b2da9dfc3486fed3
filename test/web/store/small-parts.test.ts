import { expect, test } from 'vitest';
import {
  ACT_KEG,
  READY_KEG,
  SAMPLE_ALERT,
  SILENT_ALERT,
  sampleKeg,
  UNKNOWN_KEG,
  WAIT_KEG,
} from '../../../web/components/sample-states.ts';
import { aged, inputOf, oldestOf } from '../../../web/store/ageing.ts';
import { isOpen, mergeEpisodes } from '../../../web/store/episodes.ts';
import { orderKegs } from '../../../web/store/ordering.ts';
import { moved, spanOf, zoomed } from '../../../web/store/range.ts';
import { pathOfKeg, routeOf } from '../../../web/store/routes.ts';

const HOUR_MS = 3_600_000;

test('kegs that need someone come first, then unknown, waiting, ready', () => {
  const ordered = orderKegs([READY_KEG, WAIT_KEG, UNKNOWN_KEG, ACT_KEG], ['fridge']);
  expect(ordered.map((keg) => keg.verdict.kind)).toEqual(['act', 'unknown', 'wait', 'ready']);
});

test('within a verdict kegs stand by place, then by name with numbers as numbers', () => {
  const keg = (name: string, placeId: string) => ({ ...ACT_KEG, kegId: name, name, placeId });
  const kegs = [keg('Keg 10', 'fridge'), keg('Keg 9', 'fridge'), keg('Keg 1', 'cellar')];
  expect(orderKegs(kegs, ['fridge', 'cellar']).map((one) => one.name)).toEqual(['Keg 9', 'Keg 10', 'Keg 1']);
});

test('when all is well kegs keep the order of the fridge', () => {
  const ready = { ...READY_KEG, name: 'Z' };
  const waiting = { ...WAIT_KEG, name: 'A' };
  expect(orderKegs([ready, waiting], ['fridge']).map((keg) => keg.name)).toEqual(['A', 'Z']);
  const readyFirst = [
    { ...ready, name: 'A' },
    { ...waiting, name: 'Z' },
  ];
  expect(orderKegs(readyFirst, ['fridge']).map((keg) => keg.verdict.kind)).toEqual(['ready', 'wait']);
});

test('a value ages by itself: fresh, late, stale', () => {
  const input = { at: '2026-03-01T12:00:00.000Z', freshForMs: 120_000, lateForMs: 480_000 };
  const at = Date.parse(input.at);
  expect(aged(input, at + 120_000).state).toBe('fresh');
  expect(aged(input, at + 120_001).state).toBe('late');
  expect(aged(input, at + 480_001).state).toBe('stale');
  expect(aged(input, at - 5_000)).toMatchObject({ ageMs: 0, state: 'fresh' });
});

test('of two probes of one quantity the last heard counts; a group is as old as its oldest', () => {
  const [beer, headspace] = sampleKeg().inputs;
  if (beer === undefined || headspace === undefined) throw new Error('the sample keg lost its inputs');
  const old = { ...beer, at: '2020-01-01T00:00:00.000Z' };
  expect(inputOf([old, beer], 'beer-temperature')).toBe(beer);
  expect(inputOf([], 'beer-temperature')).toBeNull();
  expect(oldestOf([old, headspace], ['beer-temperature', 'headspace-pressure'])).toBe(old);
  expect(oldestOf([headspace], ['beer-temperature', 'headspace-pressure'])).toBe(headspace);
});

test('addresses lead to pages and back', () => {
  expect(routeOf('/')).toEqual({ page: 'now' });
  expect(routeOf('/kegs/left')).toEqual({ page: 'keg', kegId: 'left' });
  expect(routeOf(pathOfKeg('a b'))).toEqual({ page: 'keg', kegId: 'a b' });
  expect(routeOf('/alerts/')).toEqual({ page: 'alerts' });
  for (const path of ['/kegs', '/kegs/a/b', '/elsewhere', '/probes/x', '/kegs/%E0%A4%A']) {
    expect(routeOf(path).page).toBe('nowhere');
  }
});

test('a span of time follows the present or stands still', () => {
  const now = 100 * HOUR_MS;
  expect(spanOf({ kind: 'last', hours: 6 }, now)).toEqual({ fromMs: 94 * HOUR_MS, toMs: now });
  expect(spanOf({ kind: 'batch', fromMs: 10 }, now)).toEqual({ fromMs: 10, toMs: now });
  expect(spanOf({ kind: 'span', fromMs: 1, toMs: 2 }, now)).toEqual({ fromMs: 1, toMs: 2 });
});

test('zooming keeps the instant under the finger, and never shows the future', () => {
  const now = 1000 * HOUR_MS;
  const span = { fromMs: 0, toMs: 100 * HOUR_MS };
  const closer = zoomed(span, 0.5, 20 * HOUR_MS, now);
  expect(closer).toEqual({ fromMs: 10 * HOUR_MS, toMs: 60 * HOUR_MS });
  const wide = zoomed({ fromMs: now - 10 * HOUR_MS, toMs: now }, 2, now - 5 * HOUR_MS, now);
  expect(wide).toEqual({ fromMs: now - 20 * HOUR_MS, toMs: now });
  expect(moved({ fromMs: now - 10 * HOUR_MS, toMs: now - HOUR_MS }, 0.5, now).toMs).toBe(now);
  const shortest = zoomed(span, 1e-9, HOUR_MS, now);
  expect(shortest.toMs - shortest.fromMs).toBe(20 * 60_000);
});

test('live and read episodes are one list: the live one wins, newest first', () => {
  const read = [{ ...SAMPLE_ALERT, acknowledgedAt: null }, SILENT_ALERT];
  const live = [{ ...SAMPLE_ALERT, acknowledgedAt: '2026-03-01T12:00:00.000Z' }];
  const merged = mergeEpisodes(live, read);
  expect(merged.map((episode) => episode.id)).toEqual(['a2', 'a1']);
  expect(merged[1]?.acknowledgedAt).not.toBeNull();
  expect(isOpen({ state: 'building' })).toBe(false);
  expect(isOpen({ state: 'clearing' })).toBe(true);
});

import { expect, test } from 'vitest';
import { BatchDescription } from '../../../src/contract/catalogue.ts';
import type { Curve } from '../../../src/contract/curve.ts';
import type { EventKind, KeptEvent } from '../../../src/contract/event.ts';
import { DEFAULT_TARGET } from '../../../src/domain/keg-facts.ts';
import { detailFields, readDetails } from '../../../web/components/batch-details/entry.ts';
import { OPEN_BATCH, PAST_BATCH } from '../../../web/components/batch-list/sample-batches.ts';
import { heldSentence, howLong, USUAL_WINDOW, whenIn, windowOf } from '../../../web/components/batch-list/words.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';
import type { Answer } from '../../../web/store/api.ts';
import { eventsBetween } from '../../../web/store/batch-history.ts';
import { endingsBy, lastHeld } from '../../../web/store/endings.ts';
import { pathOfBatch, routeOf } from '../../../web/store/routes.ts';
import { sampleCurve } from '../support/sample-answers.ts';

const NOW_MS = Date.parse('2026-03-01T12:00:00Z');
const ZONE = 'Europe/Vienna';
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

test('addresses of batches lead to their pages and back', () => {
  expect(routeOf('/batches')).toEqual({ page: 'batches' });
  expect(routeOf(pathOfBatch('b 1/2'))).toEqual({ page: 'batch', batchId: 'b 1/2' });
  for (const path of ['/batches/a/b', '/batches/%E0%A4%A']) expect(routeOf(path).page).toBe('nowhere');
});

test.each([
  ['2026-02-20T12:00:00Z', null, 'since 20 Feb'],
  ['2025-12-20T12:00:00Z', null, 'since 20 Dec 2025'],
  ['2026-01-20T12:00:00Z', '2026-02-03T12:00:00Z', '20 Jan to 3 Feb'],
  ['2025-12-20T12:00:00Z', '2026-01-03T12:00:00Z', '20 Dec 2025 to 3 Jan'],
  ['2025-11-01T12:00:00Z', '2025-11-20T12:00:00Z', '1 Nov to 20 Nov 2025'],
  ['2026-02-20T08:00:00Z', '2026-02-20T18:00:00Z', '20 Feb'],
  // Half an hour before midnight UTC is the next day in Vienna.
  ['2026-02-20T23:30:00Z', null, 'since 21 Feb'],
])('a batch from %s to %s was in its keg "%s"', (beganAt, endedAt, words) => {
  expect(plain(whenIn({ beganAt, endedAt }, NOW_MS, ZONE))).toBe(words);
});

test('how long a batch was in its keg ends with it', () => {
  const times = { beganAt: '2026-02-01T12:00:00Z', endedAt: '2026-02-14T12:00:00Z' };
  expect(plain(howLong(times, NOW_MS))).toBe('13 days');
  expect(plain(howLong({ ...times, endedAt: null }, NOW_MS))).toBe('28 days');
});

const HELD = { volumes: 2.34, low: 2.2, high: 2.48 };

test.each([
  [HELD, true, 'It holds 2.34 volumes now, nine times in ten 2.20 to 2.48 volumes: inside its window.'],
  [HELD, false, 'It held 2.34 volumes in the end, nine times in ten 2.20 to 2.48 volumes: inside its window.'],
  [
    { volumes: 1.5, low: 1.4, high: 1.6 },
    false,
    'It held 1.50 volumes in the end, nine times in ten 1.40 to 1.60 volumes: below its window.',
  ],
  [null, true, 'What it holds cannot be told yet.'],
  [null, false, 'What it held in the end was never told.'],
])('of %o, open: %s, is said "%s"', (held, isOpen, words) => {
  expect(plain(heldSentence(held, isOpen, USUAL_WINDOW, DEFAULT_UNITS))).toBe(words);
});

test('without an entry the window is the one the service takes', () => {
  expect(USUAL_WINDOW).toEqual({ low: DEFAULT_TARGET.low, high: DEFAULT_TARGET.high });
  expect(windowOf([])).toEqual(USUAL_WINDOW);
});

const event = (kind: EventKind, at: string, more: object = {}): KeptEvent => ({
  eventId: `${kind} ${at}`,
  kind,
  at,
  enteredAt: at,
  kegId: 'left',
  ...more,
});

test('the window that was set last counts, in whatever order the entries come', () => {
  const set = (at: string, volumes: number) => event('target-set', at, { volumes, tolerance: 0.25 });
  expect(windowOf([set('2026-02-02T00:00:00Z', 3), set('2026-02-01T00:00:00Z', 2)])).toEqual({ low: 2.75, high: 3.25 });
});

test('what was done before the filling or after the end is of another beer', () => {
  const events = ['2026-02-01T09:59:59Z', '2026-02-01T10:00:00Z', '2026-02-05T10:00:00Z', '2026-02-05T10:00:01Z'].map(
    (at) => event('note', at),
  );
  const [, filled, emptied, after] = events;
  expect(eventsBetween(events, '2026-02-01T10:00:00Z', '2026-02-05T10:00:00Z')).toEqual([filled, emptied]);
  expect(eventsBetween(events, '2026-02-01T10:00:00Z', null)).toEqual([filled, emptied, after]);
});

test('a batch held in the end what the last estimate of its curve says', () => {
  const curve = sampleCurve(NOW_MS, 100, true);
  const { columns } = curve;
  const last = columns.dissolvedVolumes.length - 1;
  expect(lastHeld(curve)?.volumes).toBe(columns.dissolvedVolumes[last]);
  const silent = { ...columns, dissolvedVolumes: columns.dissolvedVolumes.map((one, row) => (row > 9 ? null : one)) };
  expect(lastHeld({ columns: silent })?.volumes).toBe(columns.dissolvedVolumes[9]);
  expect(lastHeld(sampleCurve(NOW_MS, 100, false))).toBeNull();
});

test('endings are asked for one at a time, each once, and no more once the page is left', async () => {
  const asked: string[] = [];
  const waiting: ((answer: Answer<Curve>) => void)[] = [];
  const { known, follow } = endingsBy((batchId) => {
    asked.push(batchId);
    return new Promise((resolve) => waiting.push(resolve));
  });
  const answer = async (): Promise<void> => {
    waiting.shift()?.({ ok: true, body: sampleCurve(NOW_MS, 100, true) });
    await new Promise((resolve) => setImmediate(resolve));
  };
  const leave = follow(['a', 'b', 'c']);
  expect(asked).toEqual(['a']);
  await answer();
  expect(asked).toEqual(['a', 'b']);
  leave();
  await answer();
  expect(asked).toEqual(['a', 'b']);
  expect([...known.value.keys()]).toEqual(['a', 'b']);
  follow(['a', 'b', 'c']);
  expect(asked).toEqual(['a', 'b', 'c']);
});

test('when nobody answers the rest is not asked for', async () => {
  const asked: string[] = [];
  const { known, follow } = endingsBy((batchId) => {
    asked.push(batchId);
    return Promise.resolve({ ok: false, trouble: { detail: 'Quietkeg did not answer.', errors: [] } });
  });
  follow(['a', 'b']);
  await new Promise((resolve) => setImmediate(resolve));
  expect(asked).toEqual(['a']);
  expect(known.value.size).toBe(0);
});

test('a description is sent as the service takes it, and an emptied field takes its value away', () => {
  for (const batch of [OPEN_BATCH, PAST_BATCH]) {
    const { name, style, abvPercent, originalExtractPlato } = batch;
    const read = readDetails(detailFields(batch));
    expect(BatchDescription.parse(read)).toEqual({ name, style, abvPercent, originalExtractPlato });
  }
  const emptied = readDetails({ name: ' Ferry ', style: ' ', abv: '', extract: '11,5' });
  expect(BatchDescription.parse(emptied)).toEqual({
    name: 'Ferry',
    style: null,
    abvPercent: null,
    originalExtractPlato: 11.5,
  });
  expect(readDetails({ ...detailFields(PAST_BATCH), abv: 'lots' })).toMatch(/marked field/);
  expect(readDetails({ ...detailFields(PAST_BATCH), name: ' ' })).toMatch(/name/);
});

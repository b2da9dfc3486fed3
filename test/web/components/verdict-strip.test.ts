import { expect, test } from 'vitest';
import { GapCause } from '../../../src/contract/delivery.ts';
import { gapSentences, plotGaps, silentSpans } from '../../../web/components/curve-panel/gap-words.ts';
import { readCurve } from '../../../web/components/curve-panel/read-curve.ts';
import {
  placeRuns,
  runAt,
  runSentence,
  runsOf,
  type SaidVerdict,
} from '../../../web/components/verdict-strip/words.ts';
import { CAUSE_SENTENCE } from '../../../web/format/words.ts';
import { sampleCurve } from '../support/sample-answers.ts';

const HOUR_MS = 3_600_000;
const NOW_MS = Date.parse('2026-03-01T12:00:00Z');
const SPAN = { fromMs: 0, toMs: 100 };
const said = (atMs: number, kind: SaidVerdict['kind'], headline = ''): SaidVerdict => ({ atMs, kind, headline });
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

test('a verdict holds until the next, the first from before the span, the last until its end', () => {
  const runs = runsOf([said(40, 'wait'), said(-50, 'unknown'), said(90, 'ready'), said(120, 'act')], SPAN);
  expect(runs.map(({ fromMs, toMs, kind }) => [fromMs, toMs, kind])).toEqual([
    [0, 40, 'unknown'],
    [40, 90, 'wait'],
    [90, 100, 'ready'],
  ]);
  // Of two from before it, only the later still held.
  expect(runsOf([said(-50, 'act'), said(-10, 'wait')], SPAN)).toHaveLength(1);
  expect(runsOf([], SPAN)).toEqual([]);
});

test('sign and word stand only where a run has room for them', () => {
  const runs = runsOf([said(0, 'ready'), said(2, 'wait'), said(8, 'act')], SPAN);
  const placed = placeRuns(runs, SPAN, 46, 500);
  expect(placed.map(({ x, width, hasSign, hasWord }) => [x, width, hasSign, hasWord])).toEqual([
    [46, 10, false, false],
    [56, 30, true, false],
    [86, 460, true, true],
  ]);
});

test('a touch means the run under it, or a short one beside it that a finger can hardly hit', () => {
  const placed = placeRuns(runsOf([said(0, 'ready'), said(50, 'wait'), said(50.4, 'act')], SPAN), SPAN, 0, 500);
  expect(runAt(placed, 100)).toBe(0);
  expect(runAt(placed, 246)).toBe(1);
  expect(runAt(placed, 258)).toBe(1);
  expect(runAt(placed, 400)).toBe(2);
  expect(runAt(placed, 505)).toBe(2);
  expect(runAt(placed, 600)).toBeNull();
});

test('a run is said with its hours, its word and what was said then', () => {
  const run = { fromMs: NOW_MS - 2 * HOUR_MS, toMs: NOW_MS, kind: 'act', headline: 'Open the gas.' } as const;
  expect(runSentence(run, NOW_MS, 'UTC')).toBe('10:00 to 12:00, Needs you: Open the gas.');
  expect(runSentence({ ...run, fromMs: NOW_MS - 14 * HOUR_MS }, NOW_MS, 'UTC')).toBe(
    'Sat 22:00 to 12:00, Needs you: Open the gas.',
  );
});

test('every cause of a gap has words, and gaps are said in the order of time', () => {
  expect(Object.keys(CAUSE_SENTENCE).sort()).toEqual(GapCause.options.toSorted());
  const gaps = [
    { fromMs: NOW_MS - 7 * 60_000, toMs: NOW_MS, cause: 'service-down' },
    { fromMs: NOW_MS - 3 * HOUR_MS, toMs: NOW_MS - 2 * HOUR_MS, cause: 'session-lost' },
  ] as const;
  expect(gapSentences(gaps, NOW_MS, 'UTC')).toEqual([
    'The broker had forgotten Quietkeg, and kept nothing for it, 09:00 to 10:00.',
    'Quietkeg was not running 11:53 to 12:00.',
  ]);
  expect(gapSentences([], NOW_MS, 'UTC')).toEqual([]);
});

test('of many gaps the longest are said, and that there are more', () => {
  const gaps = [1, 5, 2, 4, 3].map((minutes, index) => {
    const fromMs = NOW_MS + index * HOUR_MS;
    return { fromMs, toMs: fromMs + minutes * 60_000, cause: 'probe-silent' } as const;
  });
  const sentences = gapSentences(gaps, NOW_MS, 'UTC');
  expect(sentences.map((sentence) => /\d\d:\d\d to \d\d:\d\d/.exec(sentence)?.[0])).toEqual([
    '13:00 to 13:05',
    '15:00 to 15:04',
    '16:00 to 16:03',
    undefined,
  ]);
  expect(sentences[3]).toBe('And 2 more: see the table.');
});

test('a chart marks a gap with its cause, and does not paint over readings that came through', () => {
  const curve = sampleCurve(NOW_MS, 146, true);
  const columns = readCurve(curve);
  const [down] = plotGaps(columns, 'UTC');
  expect(plain(down?.words ?? '')).toBe('not running 20:00 to Fri 00:00');
  expect(down?.empty).toBe(true);
  const dropped = { fromMs: NOW_MS - 20 * HOUR_MS, toMs: NOW_MS - 10 * HOUR_MS, cause: 'broker-dropped' } as const;
  expect(plotGaps({ ...columns, gaps: [dropped] }, 'UTC')[0]?.empty).toBe(false);
  // A service that names no gaps: the holes of the curve itself.
  const [hole] = plotGaps({ ...columns, gaps: null }, 'UTC');
  expect(hole).toMatchObject({ empty: true, words: expect.stringMatching(/^no data/) });
});

test('nothing is said while the service is down: only that part of a strip is left blank', () => {
  const gaps = [
    { fromMs: -10, toMs: 20, cause: 'service-down' },
    { fromMs: 30, toMs: 40, cause: 'probe-silent' },
    { fromMs: 200, toMs: 300, cause: 'service-down' },
  ] as const;
  expect(silentSpans({ gaps }, SPAN)).toEqual([{ fromMs: 0, toMs: 20 }]);
  expect(silentSpans({ gaps: null }, SPAN)).toEqual([]);
});

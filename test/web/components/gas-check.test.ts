import { expect, test } from 'vitest';
import { courseSentence } from '../../../web/components/gas-check/course.tsx';
import { layOutCourse } from '../../../web/components/gas-check/course-layout.ts';
import { FIRST_RESULT, REPORTS, RUNNING } from '../../../web/components/gas-check/sample-reports.ts';
import {
  expectedRows,
  leakSentence,
  narrowed,
  resultSentences,
  resultTitle,
  tightnessSentences,
} from '../../../web/components/gas-check/words.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

const KPA = { ...DEFAULT_UNITS, pressure: 'kPa' } as const;
const plain = (text: string | null): string => (text ?? '').replaceAll('\u00a0', ' ');

test('the picture shows now first, then the hours at rest, then shaken; the widest lens is whole', () => {
  const rows = expectedRows(REPORTS.first, DEFAULT_UNITS);
  expect(rows.map((row) => plain(row.label))).toEqual([
    'now',
    'after 1 h',
    'after 4 h',
    'after 12 h',
    'after 1 h, shaken',
  ]);
  expect(rows[0]).toMatchObject({ share: 1 });
  expect(rows[2]?.share).toBeCloseTo(0.08 / 0.19, 6);
  expect(plain(rows[2]?.words ?? '')).toBe('0.08 volumes');
  expect(plain(expectedRows(REPORTS.first, { ...KPA, carbonation: 'g/L' })[2]?.words ?? '')).toBe('0.16 g/L');
  expect(expectedRows(REPORTS.noProbe, DEFAULT_UNITS)).toEqual([]);
});

test('the fall of the pressure is said as a range, in the reader’s units, and never as a rise', () => {
  const of = (kpaPerHour: number, kpaPerHourPlusMinus: number | null, units = KPA) =>
    tightnessSentences({ kpaPerHour, kpaPerHourPlusMinus }, units).map(plain);
  expect(of(2.4, 0.5)).toEqual(['The pressure falls by 1.9 to 2.9 kPa an hour.']);
  expect(of(0.05, 0.12)).toEqual(['The pressure falls by less than 0.2 kPa an hour, if at all.']);
  expect(of(-0.4, 0.1)).toEqual(['The pressure does not fall.']);
  expect(of(2.4, null)).toEqual(['The pressure falls by 2.4 kPa an hour.']);
  const psi = { ...DEFAULT_UNITS, pressure: '[psi]' } as const;
  expect(tightnessSentences({ kpaPerHour: 2.4, kpaPerHourPlusMinus: 0.5 }, psi).map(plain)).toEqual([
    'The pressure falls by 0.28 to 0.42 psi an hour.',
  ]);
});

test('a result is a title and sentences with its numbers', () => {
  const result = { ...FIRST_RESULT, startedAt: '2026-11-23T01:24:00Z', endedAt: '2026-11-23T11:24:00Z' };
  const nowMs = Date.parse('2026-11-25T16:00:00Z');
  expect(resultTitle(result, nowMs, 'UTC')).toBe('Mon 01:24 to 11:24, at rest');
  expect(resultTitle({ ...result, shaken: true, endedAt: '2026-11-24T02:00:00Z' }, nowMs, 'UTC')).toBe(
    'Mon 01:24 to Tue 02:00, shaken',
  );
  expect(resultSentences(result, KPA).map(plain)).toEqual([
    'It held 1.79 to 1.93 volumes; before the check, all that could be said was 1.40 to 2.05.',
    'The pressure went from 69 kPa to 48 kPa.',
    'No sign of a leak.',
  ]);
  const tightness = { finding: 'tight', kpaPerHour: 0.05, kpaPerHourPlusMinus: 0.12, hoursLeft: null } as const;
  const unknown = { bandBefore: null, bandAfter: null, kpaGaugeBefore: null, kpaGaugeAfter: null, leak: null };
  expect(resultSentences({ ...result, ...unknown, tightness, says: 'It is tight.' }, KPA).map(plain)).toEqual([
    'It is tight.',
    'The pressure falls by less than 0.2 kPa an hour, if at all.',
  ]);
  expect(resultSentences({ ...result, ...unknown, says: '' }, KPA)).toEqual([]);
  expect(narrowed(RUNNING.bandBefore, null, KPA)).toBeNull();
  expect(plain(narrowed(null, RUNNING.bandNow, KPA))).toBe('It held 2.25 to 2.42 volumes.');
  expect(leakSentence('likely')).toBe('Very likely it leaks.');
  expect(leakSentence(null)).toBeNull();
});

test('the course is drawn inside its two panels, and a flat pressure is not blown up into noise', () => {
  const frame = { width: 400, pressure: { top: 26, bottom: 92 }, beer: { top: 132, bottom: 204 } };
  const drawing = layOutCourse(RUNNING.course, { low: 2.3, high: 2.6 }, frame);
  expect(drawing.pressure?.first).toMatchObject({ x: 0, value: 78 });
  expect(drawing.pressure?.last.x).toBeCloseTo(400, 6);
  for (const mark of [drawing.pressure?.first, drawing.pressure?.last]) {
    expect(mark?.y).toBeGreaterThan(26);
    expect(mark?.y).toBeLessThan(92);
  }
  // The window's lower edge lies in the band, its upper one above all that is known.
  expect(drawing.window.low).not.toBeNull();
  expect(drawing.window.high).toBeNull();
  const flat = { ...RUNNING.course, headspaceKpaGauge: RUNNING.course.time.map((_, index) => 78 + (index % 2) * 0.2) };
  const calm = layOutCourse(flat, { low: 2.3, high: 2.6 }, frame).pressure;
  expect(Math.abs((calm?.first.y ?? 0) - (calm?.last.y ?? 99))).toBeLessThan(6);
});

test('a course with gaps stays broken, and one without an estimate draws the pressure alone', () => {
  const frame = { width: 400, pressure: { top: 26, bottom: 92 }, beer: { top: 132, bottom: 204 } };
  const headspaceKpaGauge = RUNNING.course.headspaceKpaGauge.map((value, index) => (index === 20 ? null : value));
  const gappy = layOutCourse({ ...RUNNING.course, headspaceKpaGauge }, { low: 2.3, high: 2.6 }, frame);
  expect(gappy.pressure?.path.match(/M/g)).toHaveLength(2);
  const { running } = REPORTS.leaking;
  if (running === null) throw new Error('the sample lost its running check');
  const bare = layOutCourse(running.course, { low: 2.3, high: 2.6 }, frame);
  expect(bare.beer).toBeNull();
  expect(bare.pressure).not.toBeNull();
  expect(plain(courseSentence(running, KPA))).toBe('Pressure 78 kPa when the gas was closed, 73 kPa now.');
});

import { expect, test } from 'vitest';
import { WhatIfRequest } from '../../../src/contract/what-if.ts';
import { PARTLY_KEG } from '../../../web/components/sample-estimates.ts';
import { fieldsOf, readWhatIf, stepped } from '../../../web/components/what-if/entry.ts';
import { forecastSentence } from '../../../web/components/what-if/forecast.tsx';
import { layOutWhatIf } from '../../../web/components/what-if/layout.ts';
import { COMES_IN, PASSES } from '../../../web/components/what-if/sample-answers.ts';
import { endSentence, passingSentence, timesWords, windowSentence } from '../../../web/components/what-if/words.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

const plain = (text: string): string => text.replaceAll('\u00a0', ' ');
const US = { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' } as const;
/** Wednesday, 16:20 UTC. */
const AT = '2026-11-25T16:20:00.000Z';

test('begins with the keg as it is, in the reader’s units, and what it asks is what the service takes', () => {
  expect(fieldsOf(PARTLY_KEG, DEFAULT_UNITS)).toEqual({ temperature: '1.6', pressure: '0.78', hours: '168' });
  expect(fieldsOf(PARTLY_KEG, US)).toEqual({ temperature: '34.9', pressure: '11.3', hours: '168' });
  const nothing = { ...PARTLY_KEG, beerTemperatureC: null, headspaceKpaGauge: null, regulatorKpaGauge: null };
  expect(fieldsOf(nothing, DEFAULT_UNITS)).toEqual({ temperature: '2.0', pressure: '0.70', hours: '168' });
  const request = readWhatIf('right', { temperature: '34,7', pressure: '11.3', hours: '72' }, US);
  expect(WhatIfRequest.safeParse(request).success).toBe(true);
  // 34.7 °F are 1.5 °C, exactly; 1 psi is 6.894757 kPa (NIST SP 811).
  expect(request).toEqual({ kegId: 'right', beerTemperatureC: 1.5, headspaceKpaGauge: 77.911, hours: 72 });
  expect(readWhatIf('right', { temperature: '', pressure: '0.7', hours: '72' }, DEFAULT_UNITS)).toBeNull();
  expect(readWhatIf('right', { temperature: '2', pressure: 'much', hours: '72' }, DEFAULT_UNITS)).toBeNull();
});

test('a step goes to the next round number, and hours never below one', () => {
  const fields = { temperature: '-0.2', pressure: '0.78', hours: '12' };
  expect(stepped(fields, 'temperature', -1, DEFAULT_UNITS).temperature).toBe('-0.5');
  expect(stepped(fields, 'pressure', 1, DEFAULT_UNITS).pressure).toBe('0.85');
  expect(stepped(fields, 'hours', 1, DEFAULT_UNITS).hours).toBe('24');
  expect(stepped(fields, 'hours', -1, DEFAULT_UNITS).hours).toBe('1');
  expect(stepped({ ...fields, hours: 'long' }, 'hours', 1, DEFAULT_UNITS).hours).toBe('long');
});

test('certainty is said as plain counts', () => {
  expect([0, 0.01, 0.05, 0.45, 0.9, 0.95, 0.99, 1].map(timesWords)).toEqual([
    'hardly ever',
    'hardly ever',
    'once in 20 times',
    '9 times in 20',
    '9 times in ten',
    '19 times in 20',
    'nearly always',
    'nearly always',
  ]);
});

test('says when it comes into its window, how it ends, and when too much begins', () => {
  const comes = { ...COMES_IN, at: AT };
  expect(plain(windowSentence(comes, 'UTC'))).toBe('It comes into its window between Thursday and Sunday.');
  expect(plain(endSentence(comes, DEFAULT_UNITS))).toBe(
    'After 7 days it holds 2.35 to 2.52 volumes, inside its window 19 times in 20.',
  );
  // The answer looks no further than the hours that were asked for.
  const short = {
    ...comes,
    readyIn: { hours: 40, lowHours: 20, highHours: 48 },
    curve: { ...comes.curve, hours: [0, 48] },
  };
  expect(plain(windowSentence(short, 'UTC'))).toBe(
    'It comes into its window between Thu 12:00 and Fri 16:00, or later.',
  );
  expect(passingSentence(comes, 'UTC')).toBe('It hardly ever passes the top of its window.');
  expect(passingSentence({ ...PASSES, at: AT }, 'UTC')).toBe(
    'It may pass the top of its window from Thu 06:20 on: 19 times in 20 by the end.',
  );
  expect(passingSentence({ at: AT, passing: { probability: 1, hours: 0 } }, 'UTC')).toContain('from the start');
  expect(passingSentence({ at: AT, passing: { probability: 0.3, hours: null } }, 'UTC')).toBe(
    'It passes the top of its window 3 times in ten.',
  );
  const never = { ...comes, readyIn: null, insideProbability: 0 };
  expect(windowSentence(never, 'UTC')).toBe(
    'Now it is still below its window, and does not surely come into it in this time.',
  );
  const there = { ...never, start: { volumes: 2.45, low: 2.4, high: 2.5 }, insideProbability: 1 };
  expect(windowSentence(there, 'UTC')).toBe('Now it is inside its window.');
});

test('draws all of band and window, and marks where the window is entered', () => {
  const frame = { width: 400, height: 250, left: 46, right: 390, top: 22, bottom: 220 };
  const drawing = layOutWhatIf(COMES_IN, frame, (volumes) => volumes);
  expect(drawing.start.x).toBe(46);
  expect(drawing.end.x).toBeCloseTo(390, 6);
  expect(drawing.windowTop).toBeGreaterThan(22);
  expect(drawing.windowBottom).toBeGreaterThan(drawing.windowTop);
  expect(drawing.enters?.y).toBeCloseTo(drawing.windowBottom, 6);
  const heights = [...drawing.band.matchAll(/ (-?[\d.]+)/g)].map(([, y]) => Number(y));
  expect(Math.min(...heights)).toBeGreaterThan(22);
  expect(Math.max(...heights)).toBeLessThan(220);
  expect(layOutWhatIf(PASSES, frame, (volumes) => volumes).enters).toBeNull();
  expect(plain(forecastSentence(COMES_IN, DEFAULT_UNITS))).toMatch(
    /^From 1\.95 to 2\.25 volumes now to 2\.3\d to 2\.5\d/,
  );
});

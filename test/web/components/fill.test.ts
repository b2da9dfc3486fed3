import { describe, expect, test } from 'vitest';
import { SAMPLE_FEW, SAMPLE_LEARNT } from '../../../web/components/clean-fills/sample-learnt.ts';
import { countedWords, leftOutWords, shareWords } from '../../../web/components/clean-fills/words.ts';
import { groupsAfter, groupsBefore, warmBottleKpaGauge } from '../../../web/components/fill-checklist/groups.ts';
import { bottleSize, nextSizeOf, plannedOf } from '../../../web/components/fill-start/sizes.ts';
import { usedGrams } from '../../../web/components/fill-strip/gas-used.ts';
import { layOutTally } from '../../../web/components/fill-tally/layout.ts';
import { sampleBottles } from '../../../web/components/fill-tally/sample-bottles.ts';
import { doneWords, tallySentence } from '../../../web/components/fill-tally/words.ts';
import { driftsOf, litresToCome, shortage } from '../../../web/components/fill-watch/drift.ts';
import { lateWords, rangeWords, readySentence } from '../../../web/components/ready-times/words.ts';
import { sampleKeg } from '../../../web/components/sample-states.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';
import { routeOf } from '../../../web/store/routes.ts';

const units = DEFAULT_UNITS;
const GALLONS = { ...units, volume: '[gal_us]' } as const;
const plain = (text: string | null | undefined): string => (text ?? '').replaceAll('\u00a0', ' ');

describe('what drifts while bottles are filled', () => {
  const begin = { beerC: 1, kpaGauge: 69 };
  const names = (beerTemperatureC: number | null, headspaceKpaGauge: number | null) =>
    driftsOf(begin, { beerTemperatureC, headspaceKpaGauge }, units).map(({ name }) => name);

  test('is said beyond a degree and a psi, either way', () => {
    expect(names(2, 62)).toEqual([]);
    expect(names(2.1, 61.9)).toEqual(['warming', 'sagging']);
    expect(names(0, 76.1)).toEqual(['creeping']);
  });

  test('is not guessed where a value is not known', () => {
    expect(names(null, null)).toEqual([]);
    const unknown = { beerC: null, kpaGauge: null };
    expect(driftsOf(unknown, { beerTemperatureC: 9, headspaceKpaGauge: 0 }, units)).toEqual([]);
  });

  test('says when the beer will not last', () => {
    const planned = [
      { count: 3, sizeL: 0.5 },
      { count: 2, sizeL: 0.33 },
    ];
    const bottles = sampleBottles(2);
    expect(litresToCome({ planned, bottles })).toBeCloseTo(1.16, 9);
    expect(shortage(null, 9, units)).toBeNull();
    expect(shortage(1.2, 1.16, units)).toBeNull();
    expect(plain(shortage(0.9, 1.16, units)?.what)).toBe('0.9 L of beer are left, and 1.2 L are to be filled.');
    expect(shortage(0, 1.16, units)?.name).toBe('empty');
  });
});

describe('sizes', () => {
  test('are said as bottles are sold', () => {
    expect([0.5, 0.33, 1].map((sizeL) => plain(bottleSize(sizeL, units)))).toEqual(['0.5 L', '0.33 L', '1.0 L']);
    // A US long neck holds 12 fl oz, 0.355 L.
    expect(plain(bottleSize(0.3549, GALLONS))).toBe('12 fl oz');
  });

  test('come in the order of the plan', () => {
    const planned = [
      { count: 2, sizeL: 0.5 },
      { count: 1, sizeL: 0.33 },
    ];
    expect(nextSizeOf(planned, [])).toBe(0.5);
    expect(nextSizeOf(planned, sampleBottles(2))).toBe(0.33);
    expect(nextSizeOf(planned, [...sampleBottles(2), { sizeL: 0.33 }])).toBe(0.33);
    expect(nextSizeOf([], [{ sizeL: 0.75 }])).toBe(0.75);
    expect(nextSizeOf([], [])).toBe(0.5);
  });

  test('are planned only as whole bottles', () => {
    const rows = ['24', '2.5', '', '0', '501', '6 '].map((count) => ({ count, sizeL: 0.5 }));
    expect(plannedOf(rows).map(({ count }) => count)).toEqual([24, 6]);
  });
});

describe('the tally', () => {
  test('strikes in fives, rings what is noted, and goes on in a second row', () => {
    const { strokes, dots, height } = layOutTally(360, 7, 24);
    expect([strokes.length, dots.length, height]).toEqual([7, 17, 58]);
    // The fifth lies across the four before it.
    const [x1 = 0, , x2 = 0] = (strokes[4]?.path.match(/-?[\d.]+/g) ?? []).map(Number);
    expect(x1).toBeLessThan(12);
    expect(x2).toBeGreaterThan(40);
    const wide = layOutTally(360, 60, 60);
    expect(wide.height).toBe(3 * 58);
    for (const { ring } of wide.strokes) expect(ring.x).toBeLessThan(360);
  });

  test('is said in a sentence, with when it will be done', () => {
    const bottles = sampleBottles(6);
    expect(tallySentence(bottles, 24)).toBe('6 of 24 bottles are full, bottle 5 foamed');
    expect(tallySentence(bottles.slice(0, 1), 0)).toBe('1 bottle is full');
    const nowMs = Date.parse(bottles.at(-1)?.filledAt ?? '');
    const planned = [{ count: 12, sizeL: 0.5 }];
    expect(doneWords({ bottles, planned }, nowMs, 'UTC')).toMatch(/^done about \d\d:\d\d$/);
    expect(doneWords({ bottles: bottles.slice(0, 2), planned }, nowMs, 'UTC')).toBeNull();
    expect(doneWords({ bottles, planned: [] }, nowMs, 'UTC')).toBeNull();
  });
});

describe('the checklist', () => {
  test('names the settings, the glass and the stamp', () => {
    const keg = sampleKeg({ dissolved: { volumes: 2.47, low: 2.41, high: 2.5 }, beerTemperatureC: 2 });
    const words = groupsBefore(keg, 900, units)
      .flatMap(({ entries }) => entries.map(({ text }) => plain(text)))
      .join('\n');
    expect(words).toContain('Keg at 0.63 bar');
    expect(words).toContain('Purge gas at about 1.03 bar');
    expect(words).toContain('Never more than 9.00 bar in the keg');
    // A reference table computed apart from this program: 2.5 volumes, 4 % headspace, 2.76 bar at 30 °C, to be met
    // within 0.2 psi (1.4 kPa) and the table's own rounding (0.5 kPa).
    const atSea = { ...keg, ambientKpaAbsolute: 101.325 };
    expect(Math.abs((warmBottleKpaGauge(atSea) ?? 0) - 276)).toBeLessThan(1.9);
    const unknown = sampleKeg({ advisedKpaGauge: null, headspaceKpaGauge: null });
    expect(plain(groupsBefore(unknown, null, units)[2]?.entries[0]?.text)).toContain('Keg at its serving pressure');
    expect(groupsAfter(unknown, units)[0]?.entries[1]?.text).toContain('the pressure that holds it');
    expect(warmBottleKpaGauge({ ...keg, beerTemperatureC: 90 })).toBeNull();
  });

  test('counts the gas that bottles take', () => {
    // 12 L at 70 kPa gauge and 2 °C: 12 L x 171 kPa / (R x 275 K) = 0.9 mol, 39.5 g; three changes at 101 kPa add 70 g.
    const grams = usedGrams(
      Array.from({ length: 24 }, () => 0.5),
      2,
      70,
      101.3,
    );
    expect(Math.abs((grams ?? 0) - 110)).toBeLessThan(3);
    expect(usedGrams([0.5], 900, 70, 101.3)).toBeNull();
    expect(usedGrams([], null, null, 101.3)).toBe(0);
  });
});

describe('what was learnt', () => {
  test('says its counts and what does not count', () => {
    expect(countedWords(SAMPLE_FEW.all)).toBe('2 of 24 bottles in 1 fill foamed');
    expect(shareWords(SAMPLE_LEARNT.all)).toBe('7 to 19 in 100 foam');
    expect(leftOutWords(SAMPLE_FEW)).toBe(
      'Fills that do not count: 2 over another line, 1 without temperature or pressure.',
    );
    expect(leftOutWords(SAMPLE_LEARNT)).toBeNull();
  });

  test('says how far off forecasts were', () => {
    expect([5, -60, 0.4].map((hours) => plain(lateWords(hours)))).toEqual([
      '5 h later than said',
      '3 days earlier than said',
      'to the hour',
    ]);
    expect(lateWords(null)).toBeNull();
    expect(rangeWords({ inRange: null, lateHours: null })).toBe('still open');
    expect(rangeWords({ inRange: false, lateHours: null })).toBe('the range said is over');
    expect(rangeWords({ inRange: false, lateHours: 9 })).toBe('outside the range said');
    const forecast = { at: '', hours: 1, lowHours: 1, highHours: 1, expectedAt: '', lateHours: 1, inRange: true };
    const times = { batchId: 'b', readyAt: null, inWindowAt: '2026-06-01T12:00:00Z', forecasts: [forecast, forecast] };
    expect(readySentence(times, 'UTC')).toBe(
      'Its carbonation was right on Monday 12:00. 2 of 2 forecasts held; nine in ten should.',
    );
    const missed = { ...times, forecasts: [{ ...forecast, inRange: false }] };
    expect(readySentence(missed, 'UTC')).toContain('The one forecast did not hold.');
    expect(readySentence({ ...times, inWindowAt: null }, 'UTC')).toBe('Its carbonation has not been right yet.');
    expect(readySentence({ ...times, forecasts: [] }, 'UTC')).toBe('Nothing was forecast of this beer.');
  });
});

test('pages of fills have addresses of their own', () => {
  expect(routeOf('/kegs/one/fill')).toEqual({ page: 'fill', kegId: 'one' });
  expect(routeOf('/fills')).toEqual({ page: 'fills' });
  expect(routeOf('/fills/f1')).toEqual({ page: 'fill-record', fillId: 'f1' });
  expect(routeOf('/fills/%')).toMatchObject({ page: 'nowhere' });
  expect(routeOf('/kegs/one/other')).toMatchObject({ page: 'nowhere' });
});

import { expect, test } from 'vitest';
import type { EventKind, KeptEvent } from '../../../src/contract/event.ts';
import { summary } from '../../../web/components/checks/checks.tsx';
import { wantedText } from '../../../web/components/checks/why.ts';
import { doubtSentence } from '../../../web/components/curve-panel/doubt-words.ts';
import { layOutFlags } from '../../../web/components/curve-panel/event-rail.tsx';
import {
  carbonationSentence,
  pressurePlot,
  rowSentence,
  temperaturePlot,
} from '../../../web/components/curve-panel/plots.ts';
import { type CurveColumns, ends, gapsOf, tableRows } from '../../../web/components/curve-panel/read-curve.ts';
import { ACT_KEG } from '../../../web/components/sample-states.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';
import { needSentence } from '../../../web/format/words.ts';
import { changedVerdicts, kindsOf } from '../../../web/store/verdict-changes.ts';

const HOUR_MS = 3_600_000;
const SPAN = { fromMs: 0, toMs: 100 * HOUR_MS };
const event = (kind: EventKind, hour: number): KeptEvent => {
  const at = new Date(hour * HOUR_MS).toISOString();
  return { eventId: `${kind}-${hour}`, kind, at, enteredAt: at, kegId: 'left' };
};

test('flags carry words where there is room, in two rows', () => {
  const { flags, numbered } = layOutFlags(
    [event('keg-filled', 1), event('gas-opened', 4), event('note', 99)],
    SPAN,
    900,
  );
  expect(numbered).toBe(false);
  expect(flags.map((flag) => [flag.label, flag.row, flag.end])).toEqual([
    ['keg filled', 0, false],
    ['gas opened', 1, false],
    ['note', 0, true],
  ]);
});

test('flags that crowd become numbers, and those that stand together one flag', () => {
  const crowd = [event('keg-filled', 1), event('target-set', 1.1), event('headspace-purged', 1.2), event('note', 60)];
  const { flags, numbered } = layOutFlags(crowd, SPAN, 900);
  expect(numbered).toBe(true);
  expect(flags.map((flag) => flag.label)).toEqual(['1–3', '4']);
});

test('events outside what is shown have no flag', () => {
  expect(layOutFlags([event('note', -1), event('note', 101)], SPAN, 900).flags).toEqual([]);
});

const none = [null, null, null, null, null];
const flat = { min: none, mean: none, max: none };
const COLUMNS: CurveColumns = {
  timeS: [0, 3600, 7200, 10_800, 14_400],
  end: [null, 2.1, null, 2.3, 2.4],
  dissolved: none,
  dissolvedLow: none,
  dissolvedHigh: none,
  beer: { min: none, mean: [null, 3, null, 2, 1.5], max: none },
  pressure: flat,
  air: flat,
  verdicts: [],
  gaps: null,
  doubted: [],
};
const TOLD = { units: DEFAULT_UNITS, zone: 'UTC', nowMs: 20_000_000, target: { low: 2.3, high: 2.6 } };

test('gaps lie between values, not before the first or after the last', () => {
  expect(gapsOf(COLUMNS.timeS, COLUMNS.end)).toEqual([{ fromS: 3600, toS: 10_800 }]);
  expect(gapsOf(COLUMNS.timeS, none)).toEqual([]);
  expect(ends(COLUMNS.end)).toEqual({ first: 1, last: 4 });
});

test('the curve is told in a sentence, its gap included', () => {
  const said = carbonationSentence(COLUMNS, TOLD).replaceAll('\u00a0', ' ');
  expect(said).toBe(
    'What it is heading for went from 2.10 at 01:00 to 2.40 volumes, inside its window. Nothing was heard for 2 h in between.',
  );
  expect(carbonationSentence({ ...COLUMNS, end: none }, TOLD)).toMatch(/not heard together/);
});

test.each([
  [
    [null, 2.48, null, null, null],
    'Told only once in this time, at 01:00: 2.48 volumes in the end, inside its window.',
  ],
  [[null, 2.48, 2.482, 2.479, 2.481], 'What it is heading for stayed at 2.48 volumes since 01:00, inside its window.'],
  [
    [null, 2.48, 2.6, 2.6, 2.481],
    'What it is heading for was 2.48 at 01:00 and is back at 2.48 volumes, inside its window.',
  ],
])('a curve that went nowhere is not said to have gone: %j', (end, words) => {
  expect(carbonationSentence({ ...COLUMNS, end }, TOLD).replaceAll('\u00a0', ' ')).toBe(words);
});

test('a row is told by what it holds, a gap as no data', () => {
  expect(rowSentence(COLUMNS, 4, TOLD).replaceAll('\u00a0', ' ')).toBe('04:00: in the end 2.40 volumes, 1.5 °C');
  expect(rowSentence(COLUMNS, 2, TOLD)).toBe('02:00: no data');
  expect(rowSentence(COLUMNS, null, TOLD)).toMatch(/^04:00/);
});

test('with an estimate the band is said too, and where it stands to the window', () => {
  const dissolved = [null, 1.8, null, 2.2, 2.35];
  const estimated = {
    ...COLUMNS,
    dissolved,
    dissolvedLow: dissolved.map((value) => (value === null ? null : value - 0.1)),
    dissolvedHigh: dissolved.map((value) => (value === null ? null : value + 0.1)),
  };
  expect(rowSentence(estimated, 4, TOLD).replaceAll('\u00a0', ' ')).toBe(
    '04:00: in the beer 2.35 (2.25 to 2.45), in the end 2.40 volumes, 1.5 °C',
  );
  expect(carbonationSentence(estimated, TOLD).replaceAll('\u00a0', ' ')).toMatch(
    /^In the beer it went from 1\.80 at 01:00 to 2\.35 volumes: in its window, or still below it\./,
  );
});

test('values that are not believed are said in words, the newest first, and drawn beside the temperature alone', () => {
  const beer = (hour: number, value: number) =>
    ({ quantity: 'beer-temperature', atMs: hour * HOUR_MS, value }) as const;
  const doubted = [beer(1, 62), beer(2, -15), { ...beer(3, 40), quantity: 'air-temperature' } as const, beer(4, 50)];
  expect(doubtSentence(doubted, TOLD)?.replaceAll('\u00a0', ' ')).toBe(
    'Not believed, because nothing changes so fast: beer 50.0 °C at 04:00; air in the fridge 40.0 °C at 03:00; beer −15.0 °C at 02:00. And 1 more: see the table. Open rings on the temperature are such values of the beer.',
  );
  expect(doubtSentence([], TOLD)).toBeNull();
  const fahrenheit = { ...DEFAULT_UNITS, temperature: '[degF]' } as const;
  const rings = temperaturePlot(fahrenheit).apartOf({ ...COLUMNS, doubted });
  expect(rings.map(({ atS, value }) => [atS, Math.round(value * 10) / 10])).toEqual([
    [3600, 143.6],
    [7200, 5],
    [14_400, 122],
  ]);
  expect(pressurePlot(fahrenheit).apartOf({ ...COLUMNS, doubted })).toEqual([]);
});

test('the table takes rows that hold something, evenly, with first and last', () => {
  expect(tableRows(COLUMNS, 40)).toEqual([1, 3, 4]);
  expect(tableRows(COLUMNS, 2)).toEqual([1, 4]);
});

test('checks are counted in words, and limits said in the reader’s units', () => {
  expect(summary(ACT_KEG.verdict.checks)).toBe('One for you, one can’t be told, one takes time, five are fine.');
  const serving = ACT_KEG.verdict.checks.find((check) => check.name === 'serving-pressure');
  const margin = ACT_KEG.verdict.checks.find((check) => check.name === 'freezing-margin');
  if (serving === undefined || margin === undefined) throw new Error('the sample keg lost its checks');
  expect(wantedText(serving, DEFAULT_UNITS)?.replaceAll('\u00a0', ' ')).toBe('0.55 to 0.83 bar');
  const fahrenheit = { ...DEFAULT_UNITS, temperature: '[degF]' } as const;
  expect(wantedText(margin, fahrenheit)?.replaceAll('\u00a0', ' ')).toBe('at least 1.8 °F');
});

test.each([
  [['ready', 'act', 'act'], 'Two kegs need you'],
  [['act'], 'One keg needs you'],
  [['unknown', 'ready'], 'Can’t tell about one keg'],
  [['ready', 'wait'], 'Nobody is needed'],
  [[], 'Nobody is needed'],
] as const)('%j is said as "%s"', (kinds, words) => {
  expect(needSentence(kinds)).toBe(words);
});

test('only changes of verdicts are spoken, and not the first look', () => {
  const before = kindsOf([ACT_KEG]);
  expect(changedVerdicts(new Map(), [ACT_KEG])).toBe('');
  expect(changedVerdicts(before, [{ ...ACT_KEG, beerTemperatureC: 9 }])).toBe('');
  const ready = { ...ACT_KEG, verdict: { ...ACT_KEG.verdict, kind: 'ready' as const, headline: 'Fill.' } };
  expect(changedVerdicts(before, [ready])).toBe('Slow Bicycle: Ready. Fill.');
});

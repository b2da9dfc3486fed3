import type { Units } from '../../../src/contract/catalogue.ts';
import type { PlotApart, PlotLine, PlotSpec } from '../../charts/plot.ts';
import {
  carbonation,
  carbonationFromVolumes,
  carbonationNumber,
  pressure,
  pressureFromKpa,
  pressureUnit,
  temperature,
  temperatureFromC,
  temperatureUnit,
} from '../../format/numbers.ts';
import { standing } from '../../format/outlook.ts';
import { clockTime, durationWords } from '../../format/times.ts';
import { type CurveColumns, ends, gapsOf, hasValues } from './read-curve.ts';

type Column = readonly (number | null)[];

export interface PreparedPlot {
  readonly spec: PlotSpec;
  readonly unit: string;
  /** The columns that belong to the lines, in the reader's units. */
  columnsOf(columns: CurveColumns): Column[];
  /** What is drawn beside the lines, in the reader's units. */
  apartOf(columns: CurveColumns): PlotApart[];
}

const EDGE: Omit<PlotLine, 'label'> = { colour: '--chart-line-soft', width: 0, said: false };

export function carbonationPlot(
  units: Units,
  target: { readonly low: number; readonly high: number },
  estimated: boolean,
): PreparedPlot {
  const shown = (volumes: number): number => carbonationFromVolumes(volumes, units);
  const end: PlotLine = { label: 'in the end', colour: '--chart-line-soft', width: 1.5, said: true };
  const beer: PlotLine = { label: 'in the beer', colour: '--chart-line', width: 3, said: true };
  return {
    unit: units.carbonation,
    spec: {
      lines: estimated
        ? [end, beer, { ...EDGE, label: 'most' }, { ...EDGE, label: 'least' }]
        : [{ ...end, colour: '--chart-line' }],
      bands: estimated ? [{ upper: 2, lower: 3 }] : [],
      window: { low: shown(target.low), high: shown(target.high) },
      places: 1,
    },
    columnsOf: (columns) =>
      (estimated ? [columns.end, columns.dissolved, columns.dissolvedHigh, columns.dissolvedLow] : [columns.end]).map(
        (column) => mapped(column, shown),
      ),
    apartOf: () => [],
  };
}

export function temperaturePlot(units: Units): PreparedPlot {
  const shown = (celsius: number): number => temperatureFromC(celsius, units);
  return {
    unit: temperatureUnit(units),
    spec: extremesSpec('beer', 1),
    columnsOf: (columns) =>
      [columns.beer.mean, columns.beer.max, columns.beer.min].map((column) => mapped(column, shown)),
    apartOf: ({ doubted }) =>
      doubted
        .filter(({ quantity }) => quantity === 'beer-temperature')
        .map(({ atMs, value }) => ({ atS: atMs / 1000, value: shown(value), words: temperature(value, units) })),
  };
}

export function pressurePlot(units: Units): PreparedPlot {
  const shown = (kpa: number): number => pressureFromKpa(kpa, units);
  const places = units.pressure === 'bar' ? 2 : 0;
  return {
    unit: pressureUnit(units),
    spec: extremesSpec('in the keg', places),
    columnsOf: (columns) =>
      [columns.pressure.mean, columns.pressure.max, columns.pressure.min].map((column) => mapped(column, shown)),
    apartOf: () => [],
  };
}

function extremesSpec(label: string, places: number): PlotSpec {
  return {
    lines: [
      { label, colour: '--chart-line', width: 2, said: true },
      { ...EDGE, label: 'most' },
      { ...EDGE, label: 'least' },
    ],
    bands: [{ upper: 1, lower: 2 }],
    window: null,
    places,
  };
}

const mapped = (column: Column, shown: (value: number) => number): (number | null)[] =>
  column.map((value) => (value === null ? null : shown(value)));

interface Told {
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
  readonly target: { readonly low: number; readonly high: number };
}

/** The values of one row in words; the last row that has any, if none is pointed at. */
export function rowSentence(columns: CurveColumns, row: number | null, { units, zone, nowMs }: Told): string {
  const index = row ?? ends(columns.end)?.last ?? ends(columns.beer.mean)?.last ?? null;
  if (index === null) return '';
  const at = columns.timeS[index];
  if (at === undefined) return '';
  const said = (value: number | null | undefined, words: (value: number) => string): string | null =>
    value == null ? null : words(value);
  const parts = [
    said(
      columns.dissolved[index],
      (value) => `in the beer ${carbonationNumber(value, units)}${rangeOf(columns, index, units)}`,
    ),
    said(columns.end[index], (value) => `in the end ${carbonation(value, units)}`),
    said(columns.beer.mean[index], (value) => temperature(value, units)),
    said(columns.pressure.mean[index], (value) => pressure(value, units)),
  ].filter((part) => part !== null);
  return `${clockTime(at * 1000, nowMs, zone)}: ${parts.length === 0 ? 'no data' : parts.join(', ')}`;
}

/** " (2.24 to 2.44)": the band of a row; nothing where it has none. */
export function rangeOf(columns: CurveColumns, index: number, units: Units): string {
  const [low, high] = [columns.dissolvedLow[index], columns.dissolvedHigh[index]];
  return low == null || high == null ? '' : ` (${carbonationNumber(low, units)} to ${carbonationNumber(high, units)})`;
}

/** Where the last value stands to the window: the whole band if there is one. */
function sideOf(columns: CurveColumns, index: number, value: number, target: Told['target']): string {
  const [low, high] = [columns.dissolvedLow[index], columns.dissolvedHigh[index]];
  if (low != null && high != null) return standing({ volumes: value, low, high }, target);
  return value < target.low ? 'below its window' : value > target.high ? 'above its window' : 'inside its window';
}

/** The curve in one or two sentences. */
export function carbonationSentence(columns: CurveColumns, { units, zone, nowMs, target }: Told): string {
  const estimated = hasValues(columns.dissolved);
  const column = estimated ? columns.dissolved : columns.end;
  const range = ends(column);
  const first = range === null ? null : column[range.first];
  const last = range === null ? null : column[range.last];
  if (range === null || first == null || last == null)
    return 'Temperature and pressure were not heard together in this time.';
  const from = clockTime((columns.timeS[range.first] ?? 0) * 1000, nowMs, zone);
  const side = sideOf(columns, range.last, last, target);
  if (range.first === range.last) {
    const what = estimated ? 'in the beer' : 'in the end';
    return `Told only once in this time, at ${from}: ${carbonation(last, units)} ${what}, ${side}.`;
  }
  const what = estimated ? 'In the beer it' : 'What it is heading for';
  const gap = gapsOf(columns.timeS, column)[0];
  const silent =
    gap === undefined || gap.toS - gap.fromS < 600
      ? ''
      : ` Nothing was heard for ${durationWords((gap.toS - gap.fromS) * 1000)} in between.`;
  return `${what} ${wentWords(column, first, last, from, units)}${estimated ? ': ' : ', '}${side}.${silent}`;
}

/** "went from 2.10 at 01:00 to 2.40 volumes", or that it stayed: by the digits that are shown. */
function wentWords(column: Column, first: number, last: number, from: string, units: Units): string {
  const [began, is] = [carbonationNumber(first, units), carbonationNumber(last, units)];
  if (began !== is) return `went from ${began} at ${from} to ${carbonation(last, units)}`;
  const stayed = column.every((value) => value === null || carbonationNumber(value, units) === is);
  return stayed
    ? `stayed at ${carbonation(last, units)} since ${from}`
    : `was ${began} at ${from} and is back at ${carbonation(last, units)}`;
}

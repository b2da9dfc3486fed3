import type { RunningGasCheck } from '../../../src/contract/gas-check.ts';

/** Where the course of a gas check is drawn, in pixels: pressure above, what is in the beer below. Pure. */
export interface CoursePanel {
  readonly top: number;
  readonly bottom: number;
}

export interface CourseFrame {
  readonly width: number;
  readonly pressure: CoursePanel;
  readonly beer: CoursePanel;
}

export interface CourseDrawing {
  readonly pressure: { readonly path: string; readonly first: Mark; readonly last: Mark } | null;
  readonly beer: { readonly band: string; readonly path: string; readonly last: Mark } | null;
  /** Heights of the window's edges; null where an edge is far from all that is known. */
  readonly window: { readonly high: number | null; readonly low: number | null };
}

interface Mark {
  readonly x: number;
  readonly y: number;
  readonly value: number;
}

/** A scale finer than this would blow up the noise of a probe (kPa, volumes). */
const LEAST_KPA = 3;
const LEAST_VOLUMES = 0.1;

type Course = RunningGasCheck['course'];
type Column = readonly (number | null)[];

export function layOutCourse(
  course: Course,
  window: { readonly low: number; readonly high: number },
  frame: CourseFrame,
): CourseDrawing {
  const times = course.time.map((at) => Date.parse(at));
  const [from = 0] = times;
  const to = times[times.length - 1] ?? from;
  const x = (index: number): number => (((times[index] ?? from) - from) / Math.max(1, to - from)) * frame.width;
  const kpa = scaleOf(course.headspaceKpaGauge, LEAST_KPA, frame.pressure);
  const volumes = scaleOf([...course.low, ...course.high], LEAST_VOLUMES, frame.beer);
  const edge = (value: number): number | null => {
    const y = volumes?.(value) ?? null;
    return y === null || y < frame.beer.top || y > frame.beer.bottom ? null : y;
  };
  return {
    pressure: kpa === null ? null : lineOf(course.headspaceKpaGauge, x, kpa),
    beer: volumes === null ? null : beerOf(course, x, volumes),
    window: { high: edge(window.high), low: edge(window.low) },
  };
}

/** Height of a value; null if there is none to draw. */
function scaleOf(column: Column, least: number, { top, bottom }: CoursePanel): ((value: number) => number) | null {
  const known = column.filter((value) => value !== null);
  if (known.length === 0) return null;
  const [low, high] = [Math.min(...known), Math.max(...known)];
  const middle = (low + high) / 2;
  const half = (Math.max(high - low, least) / 2) * 1.08;
  return (value) => bottom - ((value - (middle - half)) / (2 * half)) * (bottom - top);
}

const point = (x: number, y: number): string => `${x.toFixed(1)} ${y.toFixed(1)}`;

function lineOf(
  column: Column,
  x: (index: number) => number,
  y: (value: number) => number,
): { path: string; first: Mark; last: Mark } | null {
  let path = '';
  let first: Mark | null = null;
  let last: Mark | null = null;
  let broken = true;
  column.forEach((value, index) => {
    if (value === null) {
      broken = true;
      return;
    }
    const mark = { x: x(index), y: y(value), value };
    path += `${broken ? 'M' : 'L'}${point(mark.x, mark.y)}`;
    broken = false;
    first ??= mark;
    last = mark;
  });
  return first === null || last === null ? null : { path, first, last };
}

function beerOf(course: Course, x: (index: number) => number, y: (value: number) => number): CourseDrawing['beer'] {
  const line = lineOf(course.volumes, x, y);
  if (line === null) return null;
  const rows = course.time.map((_, index) => index);
  const edge = (column: Column, order: readonly number[]): string[] =>
    order.flatMap((index) => {
      const value = column[index] ?? null;
      return value === null ? [] : [point(x(index), y(value))];
    });
  const around = [...edge(course.high, rows), ...edge(course.low, rows.toReversed())];
  return { band: `M${around.join('L')}Z`, path: line.path, last: line.last };
}

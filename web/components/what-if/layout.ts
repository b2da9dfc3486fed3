import type { WhatIfAnswer } from '../../../src/contract/what-if.ts';
import { niceTicks } from '../../format/numbers.ts';

/** Where the curve of a what-if is drawn, in pixels. Pure. */
export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export interface WhatIfDrawing {
  readonly path: string;
  readonly band: string;
  readonly windowTop: number;
  readonly windowBottom: number;
  readonly start: Mark;
  readonly end: Mark;
  /** Where the middle of the band enters the window; null if it does not, or is in it from the start. */
  readonly enters: Mark | null;
  readonly ticks: readonly { readonly y: number; readonly shown: number }[];
  x(hours: number): number;
}

interface Mark {
  readonly x: number;
  readonly y: number;
}

/** `shown` turns volumes into the reader's unit. */
export function layOutWhatIf(answer: WhatIfAnswer, frame: Frame, shown: (volumes: number) => number): WhatIfDrawing {
  const { curve, target } = answer;
  const lastHour = curve.hours[curve.hours.length - 1] ?? 1;
  const least = Math.min(target.low, ...curve.low);
  const most = Math.max(target.high, ...curve.high);
  const room = Math.max(0.05, (most - least) * 0.08);
  const [low, high] = [least - room, most + room];
  const x = (hours: number): number => frame.left + (hours / Math.max(0.001, lastHour)) * (frame.right - frame.left);
  const y = (volumes: number): number => frame.bottom - ((volumes - low) / (high - low)) * (frame.bottom - frame.top);
  const points = (column: readonly number[]): Mark[] =>
    column.map((volumes, index) => ({ x: x(curve.hours[index] ?? 0), y: y(volumes) }));
  const middle = points(curve.volumes);
  const start = middle[0] ?? { x: frame.left, y: y(answer.start.volumes) };
  const unit = shown(1);
  return {
    path: pathOf(middle),
    band: `${pathOf([...points(curve.high), ...points(curve.low).reverse()])}Z`,
    windowTop: y(target.high),
    windowBottom: y(target.low),
    start,
    end: middle[middle.length - 1] ?? start,
    enters: entry(curve, target, x, y),
    ticks: niceTicks(low * unit, high * unit, 5).map((tick) => ({ y: y(tick / unit), shown: tick })),
    x,
  };
}

const pathOf = (points: readonly Mark[]): string =>
  points.map((point, index) => `${index === 0 ? 'M' : 'L'}${point.x.toFixed(1)} ${point.y.toFixed(1)}`).join('');

function entry(
  { hours, volumes }: WhatIfAnswer['curve'],
  { low, high }: WhatIfAnswer['target'],
  x: (hours: number) => number,
  y: (volumes: number) => number,
): Mark | null {
  for (let index = 1; index < volumes.length; index += 1) {
    const [before, after] = [volumes[index - 1] ?? 0, volumes[index] ?? 0];
    const edge = before < low && after >= low ? low : before > high && after <= high ? high : null;
    if (edge === null) continue;
    const [from, to] = [hours[index - 1] ?? 0, hours[index] ?? 0];
    return { x: x(from + ((edge - before) / (after - before)) * (to - from)), y: y(edge) };
  }
  return null;
}

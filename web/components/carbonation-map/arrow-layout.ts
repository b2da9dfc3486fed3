import type { Projection } from './projection.ts';
import { type Box, type Obstacles, type Pixel, roomiest } from './room.ts';

/** The arrow to the advised setting as it is drawn, in pixels. */
export interface Arrow {
  readonly curve: string;
  readonly tip: string;
  readonly end: Pixel;
  /** Along the curve, so that other words can stand clear of it. */
  readonly points: readonly Pixel[];
  readonly words: readonly string[];
  readonly wordsX: number;
  readonly wordsY: number;
  readonly anchor: 'start' | 'end';
  readonly box: Box;
  readonly endBox: Box;
  /** False if it would be too short to be an arrow: then only its end and its words are drawn. */
  readonly long: boolean;
}

interface Wanted {
  readonly from: Pixel;
  readonly to: Pixel;
  /** The setting with its unit. */
  readonly value: string;
  readonly act: boolean;
  readonly projection: Projection;
}

type Bezier = readonly [Pixel, Pixel, Pixel, Pixel];

const LONG_PX = 44;
const LINE_PX = 20;

/** From the ring to the advised setting, bowed to the free side, with the setting in words where there is room. */
export function layOutArrow(wanted: Wanted, obstacles: Obstacles): Arrow {
  const { from, projection } = wanted;
  const to = {
    x: wanted.to.x,
    y: Math.min(projection.bottom - 10, Math.max(projection.top + 10, wanted.to.y)),
  };
  const across = Math.abs(to.x - from.x) > Math.abs(to.y - from.y);
  return across ? arrowAcross({ ...wanted, to }, obstacles) : arrowUpright({ ...wanted, to }, obstacles);
}

/** The beer has to get colder, and perhaps the pressure changes a little: the arrow hangs below, its words clear of it. */
function arrowAcross({ from, to, value, act, projection }: Wanted, obstacles: Obstacles): Arrow {
  const side = to.x > from.x ? 1 : -1;
  const length = Math.abs(to.x - from.x);
  const level = Math.abs(to.y - from.y) < 40;
  const bow = Math.min(26, 8 + length * 0.15);
  const low = Math.max(from.y, to.y) + (level ? bow : 0);
  const curve: Bezier = [
    { x: from.x + 11 * side, y: from.y + 7 },
    { x: from.x + length * 0.3 * side, y: low },
    { x: to.x - length * 0.3 * side, y: level ? low : to.y + (from.y - to.y) * 0.5 },
    { x: to.x - 10 * side, y: to.y + 8 },
  ];
  const words = [`when cold: ${value}`];
  const anchor = side > 0 ? 'end' : 'start';
  const place = placer(words, act);
  const places = [
    place(to.x - 14 * side, level ? low + 18 : to.y - 14, anchor),
    place(to.x - 14 * side, Math.max(from.y, to.y) + 40, anchor),
    place(to.x - 14 * side, Math.min(from.y, to.y) - 24, anchor),
    place(to.x + 14 * side, to.y + 5, side > 0 ? 'start' : 'end'),
    place((from.x + to.x) / 2, low + 30, 'start'),
  ] as const;
  return finished(curve, to, words, places, obstacles, projection, length > LONG_PX);
}

/** The pressure has to change: the arrow bows aside, its words beside it. */
function arrowUpright({ from, to, value, act, projection }: Wanted, obstacles: Obstacles): Arrow {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const bow = Math.min(projection.small ? 34 : 54, 12 + length * 0.35);
  const side = Math.min(from.x, to.x) - bow - obstacles.inside.left > 0 ? -1 : 1;
  const down = to.y > from.y ? 1 : -1;
  const curve: Bezier = [
    { x: from.x + 13 * side, y: from.y + 4 * down },
    { x: from.x + bow * side, y: from.y + length * 0.3 * down },
    { x: to.x + bow * side, y: to.y - length * 0.3 * down },
    { x: to.x + 11 * side, y: to.y - 9 * down },
  ];
  const words = [act ? 'turn to' : 'better:', value];
  const place = placer(words, act);
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 - 4 };
  const [before, after] = side < 0 ? (['end', 'start'] as const) : (['start', 'end'] as const);
  const away = bow * 0.76 + 9;
  const places = [
    place(middle.x + away * side, middle.y, before),
    place(middle.x - 16 * side, middle.y, after),
    place(middle.x - 32 * side, middle.y, after),
    place(middle.x - 48 * side, middle.y, after),
    place(middle.x - 28 * side, middle.y - 16, after),
    place(middle.x - 48 * side, middle.y - 16, after),
    place(middle.x - 28 * side, middle.y + 16, after),
    place(middle.x - 48 * side, middle.y + 24, after),
    place(to.x + 16 * side, to.y + 24 * down, before),
    place(to.x - 16 * side, to.y + (down > 0 ? 24 : -30), after),
    place(from.x + 18 * side, from.y - 16, before),
  ] as const;
  return finished(curve, to, words, places, obstacles, projection, length > LONG_PX);
}

interface Place {
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'end';
  readonly box: Box;
}

/** Boxes of words by where their first baseline begins or ends. */
function placer(words: readonly string[], act: boolean): (x: number, y: number, anchor: 'start' | 'end') => Place {
  const letterPx = act ? 9.6 : 7.8;
  const width = Math.max(...words.map((word) => word.length)) * letterPx;
  return (x, y, anchor) => {
    const left = anchor === 'start' ? x : x - width;
    const bottom = y + (words.length - 1) * LINE_PX + 5;
    return { x, y, anchor, box: { left: left - 3, right: left + width + 3, top: y - 15, bottom } };
  };
}

function finished(
  curve: Bezier,
  to: Pixel,
  words: readonly string[],
  places: readonly [Place, ...Place[]],
  obstacles: Obstacles,
  projection: Projection,
  long: boolean,
): Arrow {
  const [from, first, second, end] = curve;
  const points = long ? along(curve) : [];
  const endBox = { left: to.x - 9, right: to.x + 9, top: to.y - 9, bottom: to.y + 9 };
  const { x, y, anchor, box } = roomiest(places, {
    inside: { ...obstacles.inside, right: Math.min(obstacles.inside.right, projection.right - 4) },
    lines: [...obstacles.lines, points],
    boxes: [...obstacles.boxes, endBox],
  });
  return {
    curve: `M${from.x} ${from.y}C${first.x} ${first.y} ${second.x} ${second.y} ${end.x} ${end.y}`,
    tip: tipPath(second, end),
    end: to,
    points,
    words,
    wordsX: x,
    wordsY: y,
    anchor,
    box,
    endBox,
    long,
  };
}

const STEPS = 12;

/** Points along a cubic curve. */
function along([a, b, c, d]: Bezier): Pixel[] {
  return Array.from({ length: STEPS + 1 }, (_, index) => {
    const t = index / STEPS;
    const s = 1 - t;
    const mix = (p: number, q: number, r: number, e: number): number =>
      s * s * s * p + 3 * s * s * t * q + 3 * s * t * t * r + t * t * t * e;
    return { x: mix(a.x, b.x, c.x, d.x), y: mix(a.y, b.y, c.y, d.y) };
  });
}

/** The two barbs of an arrow that comes from `before` and ends in `end`. */
function tipPath(before: Pixel, end: Pixel): string {
  const angle = Math.atan2(end.y - before.y, end.x - before.x);
  const barb = (turn: number): string =>
    `${(end.x - 14 * Math.cos(angle + turn)).toFixed(1)} ${(end.y - 14 * Math.sin(angle + turn)).toFixed(1)}`;
  return `M${barb(0.5)}L${end.x} ${end.y}L${barb(-0.5)}`;
}

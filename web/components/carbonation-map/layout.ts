import { pressure, temperature } from '../../format/numbers.ts';
import { type Arrow, layOutArrow } from './arrow-layout.ts';
import { fillRegion, freezingC, type Point, type Setting, settingFor, trailAt, trailPieces } from './geometry.ts';
import type { MapProps } from './map-props.ts';
import type { Projection } from './projection.ts';
import { type Box, type Pixel, roomiest } from './room.ts';

type Drawn = MapProps & { readonly projection: Projection };

/** Everything on the map that must not run into another: placed in the order of what matters most. */
export interface MapLayout {
  readonly words: Words | null;
  readonly rings: readonly Ring[];
  readonly arrow: Arrow | null;
  readonly fillWords: Placed | null;
}

export interface Words {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'end';
  readonly left: number;
  readonly right: number;
}

export interface Ring {
  readonly atMs: number;
  readonly label: string;
  readonly x: number;
  readonly y: number;
  readonly labelled: boolean;
}

export interface Placed {
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'end';
  readonly box: Box;
}

/** Roughly the width of a 16 px bold letter: words are placed before they are drawn. */
const LETTER_PX = 8.4;

export function layOutMap(props: Drawn): MapLayout {
  const { projection, old, now } = props;
  const words = nowWords(props);
  const setting = settingFor(props);
  const rings = placeRings(props, setting).map((ring) => ({
    ...ring,
    labelled: ring.labelled && !meetsWords(words, ring.x, ring.y - 11),
  }));
  const at = (point: Point): Pixel => ({ x: projection.x(point.celsius), y: projection.y(point.kpaGauge) });
  const region = fillRegion(props).map(at);
  const trail = trailPieces(props.trail, []).map((piece) => piece.points.map(at));
  const days = rings.filter((ring) => ring.labelled).map(({ x, y }) => around(x - 15, x + 15, y - 24, y - 8));
  const said = words === null ? [] : [around(words.left, words.right, words.y - 14, words.y + 4)];
  const rounds = rings.map(({ x, y }) => around(x - 6, x + 6, y - 6, y + 6));
  // The ice is no place for words that are about beer.
  const left = Math.min(
    projection.right - 150,
    Math.max(projection.left, projection.x(freezingC(props.abvPercent)) + 6),
  );
  const inside = { left, right: projection.right - 4, top: projection.top + 4, bottom: projection.bottom - 4 };
  const here = now === null ? [] : [at(now)].map(({ x, y }) => around(x - 12, x + 12, y - 12, y + 12));
  const [first] = region;
  const obstacles = {
    inside,
    lines: [...trail, ...(first === undefined ? [] : [[...region, first]])],
    boxes: [...days, ...said, ...rounds, ...here],
  };
  const arrow =
    now === null || setting === null || old
      ? null
      : layOutArrow(
          { from: at(now), to: at(setting), value: pressure(setting.kpaGauge, props.units), ...props },
          obstacles,
        );
  const fillWords =
    region.length === 0
      ? null
      : placeFillWords(region, {
          inside,
          lines: [...trail, ...(arrow === null ? [] : [arrow.points])],
          boxes: [...obstacles.boxes, ...(arrow === null ? [] : [arrow.box, arrow.endBox])],
        });
  return { words, rings, arrow, fillWords };
}

const around = (left: number, right: number, top: number, bottom: number): Box => ({ left, right, top, bottom });

/** Below the outline, above it or inside: where the trail leaves room. */
function placeFillWords(region: readonly Pixel[], obstacles: Parameters<typeof roomiest>[1]): Placed {
  const width = 'fill from here'.length * 6.8;
  const xs = region.map((pixel) => pixel.x);
  const ys = region.map((pixel) => pixel.y);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const place = (x: number, y: number, anchor: 'start' | 'end'): Placed => {
    const from = anchor === 'start' ? x : x - width;
    return { x, y, anchor, box: around(from - 2, from + width + 2, y - 13, y + 5) };
  };
  return roomiest(
    [
      place(left, bottom + 20, 'start'),
      place(right, bottom + 20, 'end'),
      place(right + 8, bottom - 2, 'start'),
      place(right + 8, (top + bottom) / 2, 'start'),
      place(left - 8, bottom - 2, 'end'),
      place(right, top - 10, 'end'),
      place(left + 8, bottom - 8, 'start'),
      place(left, bottom + 38, 'start'),
      place(right + 8, bottom + 16, 'start'),
      place(right, bottom + 38, 'end'),
      place(right + 8, top + 8, 'start'),
      place(left, bottom + 56, 'start'),
    ],
    obstacles,
  );
}

/** Rings that stand on one another share a label: the later day says it. */
function placeRings(props: Drawn, setting: Setting | null): Ring[] {
  const { midnights, trail, projection, now } = props;
  const taken = [now, setting]
    .filter((point) => point !== null)
    .map((point) => ({ x: projection.x(point.celsius), y: projection.y(point.kpaGauge) }));
  const placed: Ring[] = [];
  for (const { atMs, label } of [...midnights].reverse()) {
    const at = trailAt(trail, atMs);
    if (at === null) continue;
    const x = projection.x(at.celsius);
    const y = projection.y(at.kpaGauge);
    const free = taken.every((other) => Math.abs(other.x - x) > 30 || Math.abs(other.y - y) > 24);
    const inside = x > projection.left && x < projection.right && y > projection.top + 14 && y < projection.bottom;
    if (free) taken.push({ x, y });
    placed.push({ atMs, label, x, y, labelled: free && inside });
  }
  return placed;
}

/** Where the words beside the present stand: on the roomier side, and never over the edge of the map. */
function nowWords(props: Drawn): Words | null {
  const { now, units, gasWord, old, act, projection } = props;
  if (now === null) return null;
  const when = old ? 'last' : 'now';
  const values = `${temperature(now.celsius, units)}, ${pressure(now.kpaGauge, units)}`;
  const text = projection.small ? `${when} ${values}` : `${when}: ${values}, ${gasWord}`;
  const width = text.length * LETTER_PX;
  const x = projection.x(now.celsius);
  const y = projection.y(now.kpaGauge);
  const wordsY = y > projection.top + 36 && !(act && y < projection.bottom - 60) ? y - 16 : y + 28;
  // Not over the ice either, where the map is wide enough.
  const edge = Math.max(projection.left, projection.x(freezingC(props.abvPercent)) + 6);
  if (x + 16 + width <= projection.right - 4) {
    return { text, x: x + 16, y: wordsY, anchor: 'start', left: x + 16, right: x + 16 + width };
  }
  const right = Math.max(projection.left + width + 4, x - 16 > edge + width ? x - 16 : projection.right - 6);
  return { text, x: right, y: wordsY, anchor: 'end', left: right - width, right };
}

/** True if a short label at this place would run into the words. */
export const meetsWords = (words: Words | null, x: number, y: number): boolean =>
  words !== null && x > words.left - 24 && x < words.right + 24 && y > words.y - 26 && y < words.y + 16;

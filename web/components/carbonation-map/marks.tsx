import { pressure, temperature } from '../../format/numbers.ts';
import { type Point, type Setting, trailAt, trailPieces } from './geometry.ts';
import type { MapProps } from './map-props.ts';
import { type Projection, pathOf } from './projection.ts';

type Drawn = MapProps & { readonly projection: Projection };

/** Where the keg was: a ring at each midnight, dotted while the gas was closed, broken where nothing was heard. */
export function Trail(props: Drawn & { readonly setting: Setting | null }) {
  const { trail, closed, midnights, projection, now, setting } = props;
  const words = nowWords(props);
  const pieces = trailPieces(trail, closed);
  const rings = placeRings(midnights, trail, projection, [now, setting]);
  return (
    <>
      <g clip-path="url(#map-clip)">
        {pieces.map((piece, index) => (
          <path key={`under-${index}`} class="trail-under" d={pathOf(piece.points, projection)} />
        ))}
        {pieces.map((piece, index) => (
          <path
            key={`over-${index}`}
            class={piece.closed ? 'trail closed' : 'trail'}
            d={pathOf(piece.points, projection)}
          />
        ))}
        {rings.map((ring) => (
          <circle key={ring.atMs} class="ring" cx={ring.x} cy={ring.y} r="4.5" />
        ))}
      </g>
      {rings
        .filter((ring) => ring.labelled && !meetsWords(words, ring.x, ring.y - 11))
        .map((ring) => (
          <text key={ring.atMs} class="halo day" x={ring.x} y={ring.y - 11} text-anchor="middle">
            {ring.label}
          </text>
        ))}
    </>
  );
}

/** Rings that stand on one another share a label: the later day says it. */
function placeRings(
  midnights: Drawn['midnights'],
  trail: Drawn['trail'],
  projection: Projection,
  others: readonly (Point | null)[],
) {
  const taken = others
    .filter((point) => point !== null)
    .map((point) => ({ x: projection.x(point.celsius), y: projection.y(point.kpaGauge) }));
  const placed: { atMs: number; label: string; x: number; y: number; labelled: boolean }[] = [];
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

/** Roughly the width of a 16 px bold letter: words are placed before they are drawn. */
const LETTER_PX = 8.4;

export interface Words {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly anchor: 'start' | 'end';
  readonly left: number;
  readonly right: number;
}

/** Where the words beside the present stand: on the roomier side, and never over the edge of the map. */
export function nowWords(props: Pick<Drawn, 'now' | 'units' | 'gasWord' | 'old' | 'act' | 'projection'>): Words | null {
  const { now, units, gasWord, old, act, projection } = props;
  if (now === null) return null;
  const when = old ? 'last' : 'now';
  const values = `${temperature(now.celsius, units)}, ${pressure(now.kpaGauge, units)}`;
  const text = projection.small ? `${when} ${values}` : `${when}: ${values}, ${gasWord}`;
  const width = text.length * LETTER_PX;
  const x = projection.x(now.celsius);
  const y = projection.y(now.kpaGauge);
  const wordsY = y > projection.top + 36 && !(act && y < projection.bottom - 60) ? y - 16 : y + 28;
  if (x + 16 + width <= projection.right - 4) {
    return { text, x: x + 16, y: wordsY, anchor: 'start', left: x + 16, right: x + 16 + width };
  }
  const right = Math.max(projection.left + width + 4, x - 16 > projection.left + width ? x - 16 : projection.right - 6);
  return { text, x: right, y: wordsY, anchor: 'end', left: right - width, right };
}

/** True if a short label at this place would run into the words. */
export const meetsWords = (words: Words | null, x: number, y: number): boolean =>
  words !== null && x > words.left - 24 && x < words.right + 24 && y > words.y - 26 && y < words.y + 16;

/** The ring with a dot: here and now. */
export function Now(props: Drawn) {
  const { now, projection, old } = props;
  const words = nowWords(props);
  if (now === null || words === null) return null;
  const x = projection.x(now.celsius);
  const y = projection.y(now.kpaGauge);
  return (
    <>
      <circle class="now-ring" cx={x} cy={y} r="10" />
      {!old && <circle cx={x} cy={y} r="4.5" fill="var(--text)" />}
      <text class="halo strong now-words" x={words.x} y={words.y} text-anchor={words.anchor}>
        {words.text}
      </text>
    </>
  );
}

interface Arrow {
  readonly curve: string;
  readonly tip: string;
  readonly words: readonly string[];
  readonly wordsX: number;
  readonly wordsY: number;
  readonly anchor: 'start' | 'end';
  readonly long: boolean;
}

/** From the ring to the advised setting: bowed to the free side, with the setting in words. */
export function SettingArrow(props: Drawn & { readonly setting: Setting | null }) {
  const { now, setting, projection, act, old } = props;
  if (now === null || setting === null || old) return null;
  const from = { x: projection.x(now.celsius), y: projection.y(now.kpaGauge) };
  const to = {
    x: projection.x(setting.celsius),
    y: Math.min(projection.bottom - 10, Math.max(projection.top + 10, projection.y(setting.kpaGauge))),
  };
  const value = pressure(setting.kpaGauge, props.units);
  const across = Math.abs(to.x - from.x) > Math.abs(to.y - from.y);
  const arrow = across ? arrowAcross(from, to, value) : arrowUpright(from, to, value, act, projection);
  return (
    <g class={act ? 'arrow act' : 'arrow'}>
      {arrow.long && (
        <>
          <path class="arrow-under" d={arrow.curve} />
          <path class="arrow-line" d={arrow.curve} />
          <path class="arrow-line" d={arrow.tip} />
        </>
      )}
      <circle class="arrow-end" cx={to.x} cy={to.y} r="7" />
      {arrow.words.map((word, index) => (
        <text
          key={word}
          class="halo arrow-words"
          x={arrow.wordsX}
          y={arrow.wordsY + index * 20}
          text-anchor={arrow.anchor}
        >
          {word}
        </text>
      ))}
    </g>
  );
}

interface Pixel {
  readonly x: number;
  readonly y: number;
}

/** The beer has to get colder, and perhaps the pressure changes a little: the arrow hangs below, its words clear of it. */
function arrowAcross(from: Pixel, to: Pixel, value: string): Arrow {
  const side = to.x > from.x ? 1 : -1;
  const length = Math.abs(to.x - from.x);
  const level = Math.abs(to.y - from.y) < 40;
  const bow = Math.min(26, 8 + length * 0.15);
  const low = Math.max(from.y, to.y) + (level ? bow : 0);
  const end = { x: to.x - 10 * side, y: to.y + 8 };
  const control = { x: to.x - length * 0.3 * side, y: level ? low : to.y + (from.y - to.y) * 0.5 };
  return {
    curve: `M${from.x + 11 * side} ${from.y + 7}C${from.x + length * 0.3 * side} ${low} ${control.x} ${control.y} ${end.x} ${end.y}`,
    tip: tipPath(control, end),
    words: [`when cold: ${value}`],
    wordsX: to.x - 14 * side,
    wordsY: level ? low + 18 : to.y - 14,
    anchor: side > 0 ? 'end' : 'start',
    long: length > 44,
  };
}

/** The two barbs of an arrow that comes from `before` and ends in `end`. */
function tipPath(before: Pixel, end: Pixel): string {
  const angle = Math.atan2(end.y - before.y, end.x - before.x);
  const barb = (turn: number): string =>
    `${(end.x - 14 * Math.cos(angle + turn)).toFixed(1)} ${(end.y - 14 * Math.sin(angle + turn)).toFixed(1)}`;
  return `M${barb(0.5)}L${end.x} ${end.y}L${barb(-0.5)}`;
}

/** The pressure has to change: the arrow bows aside, its words beside it. */
function arrowUpright(from: Pixel, to: Pixel, value: string, act: boolean, projection: Projection): Arrow {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const roomLeft = Math.min(from.x, to.x) - projection.left > (projection.small ? 96 : 130);
  const side = roomLeft ? -1 : 1;
  const bow = Math.min(projection.small ? 34 : 54, 12 + length * 0.35);
  const down = to.y > from.y ? 1 : -1;
  const end = { x: to.x + 11 * side, y: to.y - 9 * down };
  return {
    curve: `M${from.x + 13 * side} ${from.y + 4 * down}C${from.x + bow * side} ${from.y + length * 0.3 * down} ${to.x + bow * side} ${to.y - length * 0.3 * down} ${end.x} ${end.y}`,
    tip: tipPath({ x: to.x + bow * side, y: to.y - length * 0.3 * down }, end),
    words: [act ? 'turn to' : 'better:', value],
    wordsX: (from.x + to.x) / 2 + (bow * 0.76 + 9) * side,
    wordsY: (from.y + to.y) / 2 - 4,
    anchor: side < 0 ? 'end' : 'start',
    long: length > 44,
  };
}

/** The reader's cursor. */
export function Cross({ point, projection }: { readonly point: Point; readonly projection: Projection }) {
  const x = projection.x(point.celsius);
  const y = projection.y(point.kpaGauge);
  return (
    <path
      class="cross"
      d={`M${projection.left} ${y}H${projection.right}M${x} ${projection.top}V${projection.bottom}`}
    />
  );
}

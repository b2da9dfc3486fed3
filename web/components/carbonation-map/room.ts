/** Finds room for words between the lines of the map. In pixels; pure. */
export interface Pixel {
  readonly x: number;
  readonly y: number;
}

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** What words should stand clear of. */
export interface Obstacles {
  /** Words on no account leave this. */
  readonly inside: Box;
  readonly lines: readonly (readonly Pixel[])[];
  readonly boxes: readonly Box[];
}

/** Words over words cannot be read; a line under words with a halo can. */
const COST_OF_WORDS = 4;
const MOST_CROSSINGS = 3;

/** The first of some places that is free; if none is, the one that is crossed least. */
export function roomiest<T extends { readonly box: Box }>(places: readonly [T, ...T[]], obstacles: Obstacles): T {
  let [best] = places;
  let least = Number.POSITIVE_INFINITY;
  for (const place of places) {
    const cost = costOf(place.box, obstacles);
    if (cost >= least) continue;
    best = place;
    least = cost;
  }
  return best;
}

function costOf(box: Box, { inside, lines, boxes }: Obstacles): number {
  const outside =
    Math.max(0, inside.left - box.left) +
    Math.max(0, box.right - inside.right) +
    Math.max(0, inside.top - box.top) +
    Math.max(0, box.bottom - inside.bottom);
  const words = boxes.filter((other) => overlap(box, other)).length * COST_OF_WORDS;
  const crossed = lines.map((line) => Math.min(MOST_CROSSINGS, crossings(box, line)));
  return outside * 100 + words + crossed.reduce((sum, count) => sum + count, 0);
}

const overlap = (a: Box, b: Box): boolean =>
  a.left < b.right && a.right > b.left && a.top < b.bottom && a.bottom > b.top;

/** How many pieces of a line run through a box. */
export function crossings(box: Box, line: readonly Pixel[]): number {
  let count = 0;
  for (let index = 1; index < line.length; index += 1) {
    const [from, to] = [line[index - 1], line[index]];
    if (from !== undefined && to !== undefined && cuts(box, from, to)) count += 1;
  }
  return count;
}

/** True if a straight piece has a point in the box. @source clipping of a line by its parameter, Liang and Barsky 1984 */
function cuts(box: Box, from: Pixel, to: Pixel): boolean {
  let [enter, leave] = [0, 1];
  const sides = [
    [from.x - to.x, from.x - box.left],
    [to.x - from.x, box.right - from.x],
    [from.y - to.y, from.y - box.top],
    [to.y - from.y, box.bottom - from.y],
  ] as const;
  for (const [step, room] of sides) {
    if (step === 0 && room < 0) return false;
    if (step < 0) enter = Math.max(enter, room / step);
    if (step > 0) leave = Math.min(leave, room / step);
  }
  return enter <= leave;
}

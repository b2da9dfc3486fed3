/** Where the name of a line stands on a chart, in pixels of the drawing. Pure, so that it can be tested without one. */
export interface LabelFacts {
  /** Pixels of one unit of the design: distances here are in those. */
  readonly ratio: number;
  /** Where each row stands, rising. */
  readonly xs: readonly number[];
  /** Heights of the line that is named. */
  readonly own: readonly (number | null)[];
  /** Heights of the other lines. */
  readonly others: readonly (readonly (number | null)[])[];
  /** Level lines across the whole chart. */
  readonly levels: readonly number[];
  readonly box: { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number };
  readonly textWidth: number;
  /** Shares of the width at which the name may begin, best first. */
  readonly shares: readonly number[];
  /** The side of its line on which the name stands if both are free. */
  readonly side: 'above' | 'below';
}

/** Start of the baseline. */
export interface Spot {
  readonly x: number;
  readonly y: number;
}

const ASCENT = 11;
const DESCENT = 4;
/** Between the name and its own line, and at least between it and all others. */
const BESIDE = 7;
const CLEAR = 3;
/** Between a single value and its name. */
const AWAY = 9;

/**
 * The first place where the name stands clear of every line, beside a piece of its own line that has no gap; if none is
 * clear, the clearest. A line too short for that has its name beside its last value. Null if the line has no value.
 */
export function placeLabel(facts: LabelFacts): Spot | null {
  const { box, shares, side, ratio, textWidth } = facts;
  const sides = side === 'above' ? (['above', 'below'] as const) : (['below', 'above'] as const);
  let best: { spot: Spot; clearance: number } | null = null;
  for (const share of shares) {
    const x = box.left + (box.right - box.left) * share;
    const run = runOf(facts, x, x + textWidth);
    if (run === null || x + textWidth > box.right) continue;
    for (const one of sides) {
      const y = one === 'above' ? Math.min(...run) - BESIDE * ratio : Math.max(...run) + (BESIDE + ASCENT) * ratio;
      if (y - ASCENT * ratio < box.top || y + DESCENT * ratio > box.bottom) continue;
      const spot = { x, y };
      const clearance = clearanceOf(facts, spot);
      if (clearance >= CLEAR * ratio) return spot;
      if (best === null || clearance > best.clearance) best = { spot, clearance };
    }
  }
  return best?.spot ?? besideLast(facts);
}

/** Heights of the named line under the name; null if it has a gap there, or does not reach so far. */
function runOf({ xs, own }: LabelFacts, from: number, to: number): number[] | null {
  const heights = within(xs, from, to).map((index) => own[index] ?? null);
  const known = heights.filter((height) => height !== null);
  return known.length === heights.length && known.length > 1 ? known : null;
}

/** Rows that stand in a span, and the one before and after it. */
function within(xs: readonly number[], from: number, to: number): number[] {
  const rows: number[] = [];
  for (let index = 0; index < xs.length; index += 1) {
    const after = xs[index + 1] ?? Number.POSITIVE_INFINITY;
    const before = xs[index - 1] ?? Number.NEGATIVE_INFINITY;
    if (after > from && before < to) rows.push(index);
  }
  return rows;
}

/** Free height between the name and the nearest line; nought where one runs through it. */
function clearanceOf(facts: LabelFacts, { x, y }: Spot): number {
  const { xs, own, others, levels, ratio, textWidth } = facts;
  const top = y - ASCENT * ratio;
  const bottom = y + DESCENT * ratio;
  const away = (height: number): number => Math.max(0, top - height, height - bottom);
  let least = Math.min(Number.POSITIVE_INFINITY, ...levels.map(away));
  const rows = within(xs, x, x + textWidth);
  for (const line of [own, ...others]) {
    const heights = rows.map((index) => line[index] ?? null).filter((height) => height !== null);
    if (heights.length === 0) continue;
    // A steep line may cross the name between two rows: all heights between its extremes count.
    const low = Math.min(...heights);
    const high = Math.max(...heights);
    least = Math.min(least, high < top ? top - high : low > bottom ? low - bottom : 0);
  }
  return least;
}

function besideLast(facts: LabelFacts): Spot | null {
  const { xs, own, box, textWidth, ratio } = facts;
  const first = own.findIndex((height) => height !== null);
  const last = own.findLastIndex((height) => height !== null);
  const [from, to, height] = [xs[first], xs[last], own[last] ?? null];
  if (from === undefined || to === undefined || height === null) return null;
  const left = from - textWidth - AWAY * ratio;
  const x = left >= box.left ? left : to + AWAY * ratio;
  if (x + textWidth > box.right) return null;
  const spots = [5, 16, -8, 24]
    .map((down) => ({ x, y: height + down * ratio }))
    .filter(({ y }) => y - ASCENT * ratio >= box.top && y + DESCENT * ratio <= box.bottom);
  const besides = { ...facts, own: [] };
  return spots.find((spot) => clearanceOf(besides, spot) >= CLEAR * ratio) ?? spots[0] ?? null;
}

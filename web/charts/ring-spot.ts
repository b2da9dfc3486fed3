/** A value drawn apart, where it would stand on the canvas, and the width of its words. */
export interface ApartPoint {
  readonly x: number;
  readonly y: number;
  readonly words: string;
  readonly width: number;
}

export interface Ring {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
  readonly label: { readonly words: string; readonly x: number; readonly y: number } | null;
}

export interface RingProblem {
  /** Canvas pixels for one of the page. */
  readonly ratio: number;
  /** From left to right. */
  readonly points: readonly ApartPoint[];
  readonly box: { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number };
}

const RADIUS_PX = 4;
const EDGE_PX = 8;
const GAP_PX = 5;
/** From the middle of a letter down to its foot. */
const FOOT_PX = 5;

/**
 * Rings inside the box: one whose value lies beyond the scale stands at the edge, and then its words say the value, right
 * of it or left where there is no room. Words that would cover another ring or other words are left out.
 */
export function placeRings({ ratio, points, box }: RingProblem): Ring[] {
  const edge = EDGE_PX * ratio;
  const gap = GAP_PX * ratio;
  const radius = RADIUS_PX * ratio;
  const inside = points.filter(({ x }) => x >= box.left && x <= box.right);
  const spots = inside.map((point) => {
    const x = Math.min(Math.max(point.x, box.left + radius), box.right - radius);
    const y = Math.min(Math.max(point.y, box.top + edge), box.bottom - edge);
    return { ...point, x, y, isBeyond: point.y < box.top || point.y > box.bottom };
  });
  const taken: { readonly from: number; readonly to: number; readonly y: number }[] = [];
  const isFree = (from: number, to: number, y: number): boolean =>
    from >= box.left &&
    to <= box.right &&
    [...taken, ...spots.map((spot) => ({ from: spot.x - radius, to: spot.x + radius, y: spot.y }))].every(
      (other) => other.to <= from || other.from >= to || Math.abs(other.y - y) > 16 * ratio,
    );
  return spots.map(({ x, y, words, width, isBeyond }) => {
    const starts = [x + radius + gap, x - radius - gap - width];
    const from = isBeyond ? starts.find((start) => isFree(start, start + width, y)) : undefined;
    if (from === undefined) return { x, y, radius, label: null };
    taken.push({ from, to: from + width, y });
    return { x, y, radius, label: { words, x: from, y: y + FOOT_PX * ratio } };
  });
}

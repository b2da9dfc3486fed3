/** Where things stand on a keg's way, in pixels of its drawing. Pure, so that it can be tested without a browser. */
export interface WayFacts {
  readonly low: number;
  readonly high: number;
  readonly dissolved: { readonly volumes: number; readonly low: number; readonly high: number } | null;
  readonly equilibriumVolumes: number | null;
}

export interface WayFrame {
  readonly width: number;
  readonly small: boolean;
  readonly ambient: boolean;
  readonly marginRight: number;
}

export interface WayLayout {
  readonly railLeft: number;
  readonly railRight: number;
  readonly windowLeft: number;
  readonly windowRight: number;
  /** Solid lens of what is in the beer. */
  readonly lens: { readonly left: number; readonly right: number; readonly slit: number } | null;
  /** Outline of what the beer is heading for, drawn while nothing is known of what is in it. */
  readonly ghost: { readonly x: number; readonly beyond: Beyond } | null;
  /** Dotted arrow from the lens to where the beer is heading. */
  readonly arrow: { readonly from: number; readonly to: number; readonly beyond: Beyond } | null;
  /** Middle of the large number. */
  readonly numberX: number;
  readonly heading: { readonly x: number; readonly anchor: 'start' | 'end' } | null;
  /** Carbonation at the ends of the rail where it is drawn closer than the window, so that a long lens fits. */
  readonly ends: { readonly left: number | null; readonly right: number | null };
}

/** Whether a thing lies left (−1) or right (1) of what the drawing can show. */
type Beyond = -1 | 0 | 1;

/** Widths of the window left and right of it that a row has room for. */
const LEFT_WINDOWS = 2;
const RIGHT_WINDOWS = { small: 1.5, wide: 1.15 } as const;
const SHORTEST_ARROW = 14;

/** Every keg's window is drawn at the same place, so the eye follows two uprights down the page. */
export function layOutWay(facts: WayFacts, frame: WayFrame): WayLayout {
  const railLeft = frame.small ? 20 : 8;
  const railRight = frame.width - (frame.small ? 20 : frame.marginRight);
  const all = LEFT_WINDOWS + 1 + (frame.small ? RIGHT_WINDOWS.small : RIGHT_WINDOWS.wide);
  const windowWidth = (railRight - railLeft) / all;
  const windowLeft = railLeft + LEFT_WINDOWS * windowWidth;
  const windowRight = windowLeft + windowWidth;
  const span = Math.max(0.02, facts.high - facts.low);
  const reach = {
    left: reachOf(facts.low - (facts.dissolved?.low ?? facts.low), LEFT_WINDOWS * span),
    right: reachOf((facts.dissolved?.high ?? facts.high) - facts.high, (all - LEFT_WINDOWS - 1) * span),
  };
  const xOf = (volumes: number): number => {
    if (volumes < facts.low) return windowLeft - ((facts.low - volumes) / reach.left.volumes) * (windowLeft - railLeft);
    if (volumes > facts.high) {
      return windowRight + ((volumes - facts.high) / reach.right.volumes) * (railRight - windowRight);
    }
    return windowLeft + ((volumes - facts.low) / span) * windowWidth;
  };
  const clamp = (x: number): { x: number; beyond: Beyond } => {
    if (x < railLeft + 22) return { x: railLeft + 22, beyond: -1 };
    if (x > railRight - 22) return { x: railRight - 22, beyond: 1 };
    return { x, beyond: 0 };
  };
  const end = facts.equilibriumVolumes === null ? null : xOf(facts.equilibriumVolumes);
  const lens = facts.dissolved === null ? null : lensOf(facts.dissolved, xOf, railLeft, railRight);
  const ghost = lens === null && end !== null ? clamp(end) : null;
  const arrow = lens === null || end === null ? null : arrowOf(lens, end, railLeft, railRight);
  const wanted = lens?.slit ?? ghost?.x ?? (windowLeft + windowRight) / 2;
  const half = frame.small ? 40 : frame.ambient ? 60 : frame.width < 440 ? 44 : 50;
  const numberX = clearOfUprights(wanted, half, windowLeft, windowRight, railLeft, railRight);
  const heading =
    lens === null || arrow === null ? null : headingOf({ lens, to: arrow.to, windowLeft, windowRight }, frame);
  const ends = {
    left: reach.left.closer ? facts.low - reach.left.volumes : null,
    right: reach.right.closer ? facts.high + reach.right.volumes : null,
  };
  return { railLeft, railRight, windowLeft, windowRight, lens, ghost, arrow, numberX, heading, ends };
}

/** A little air between the end of a lens and the end of the rail. */
const AIR = 1.06;

/** How many volumes the rail beside the window shows: as the window's own scale has it, or more for a lens that is longer. */
function reachOf(wanted: number, usual: number): { readonly volumes: number; readonly closer: boolean } {
  return wanted > usual ? { volumes: wanted * AIR, closer: true } : { volumes: usual, closer: false };
}

function lensOf(
  dissolved: { readonly volumes: number; readonly low: number; readonly high: number },
  xOf: (volumes: number) => number,
  railLeft: number,
  railRight: number,
): { left: number; right: number; slit: number } {
  const inside = (x: number): number => Math.min(railRight, Math.max(railLeft, x));
  // A very sure keg is still a drop, not a line.
  const slit = inside(xOf(dissolved.volumes));
  return {
    left: Math.min(inside(xOf(dissolved.low)), slit - 10),
    right: Math.max(inside(xOf(dissolved.high)), slit + 10),
    slit,
  };
}

function arrowOf(
  lens: { readonly left: number; readonly right: number },
  end: number,
  railLeft: number,
  railRight: number,
): { from: number; to: number; beyond: Beyond } | null {
  const to = Math.min(railRight - 4, Math.max(railLeft + 4, end));
  const beyond = end > railRight ? 1 : end < railLeft ? -1 : 0;
  if (to > lens.right + SHORTEST_ARROW) return { from: lens.right + 4, to, beyond };
  if (to < lens.left - SHORTEST_ARROW) return { from: lens.left - 4, to, beyond };
  return null;
}

/** A number never crosses an upright: it is moved aside, or into the middle of the window. */
function clearOfUprights(x: number, half: number, a: number, b: number, left: number, right: number): number {
  if (x >= a && x <= b) return b - a < 2 * half ? (a + b) / 2 : Math.min(b - half, Math.max(a + half, x));
  if (x < a) return Math.max(left + half, Math.min(a - half - 4, x));
  return Math.min(right - half, Math.max(b + half + 4, x));
}

interface Headed {
  readonly lens: { readonly left: number; readonly right: number };
  readonly to: number;
  readonly windowLeft: number;
  readonly windowRight: number;
}

/** Below this width of its own a drawing says "to 2.41" for "heading for 2.41". */
export const NARROW_PX = 440;

/**
 * The words of the arrow stay clear of the uprights and of the lens: left of the window if there is room, else right.
 * Beside a lens that is past the window there is none.
 */
function headingOf(
  { lens, to, windowLeft, windowRight }: Headed,
  frame: WayFrame,
): { x: number; anchor: 'start' | 'end' } | null {
  const right = { x: windowRight + 9, anchor: 'start' } as const;
  if (to > windowRight) return lens.right > windowRight ? null : right;
  const wordsPx = frame.width < NARROW_PX ? 52 : 116;
  const x = windowLeft - 9;
  // The tip of a lens is thin: words may begin above it.
  const TIP_PX = 14;
  const free = lens.left > windowLeft || lens.right - TIP_PX < x - wordsPx;
  return free ? { x, anchor: 'end' } : right;
}

/** A lens: pointed at both ends, `height` tall on each side of its axis. */
export function lensPath(left: number, right: number, y: number, height: number): string {
  const middle = (left + right) / 2;
  const bend = (right - left) * 0.22;
  const p = (x: number, dy: number): string => `${x.toFixed(1)} ${(y + dy).toFixed(1)}`;
  const tip = height * 0.15;
  return (
    `M${p(left, 0)}C${p(left + bend, -tip)} ${p(middle - bend, -height)} ${p(middle, -height)}` +
    `S${p(right - bend, -tip)} ${p(right, 0)}C${p(right - bend, tip)} ${p(middle + bend, height)} ${p(middle, height)}` +
    `S${p(left + bend, tip)} ${p(left, 0)}Z`
  );
}

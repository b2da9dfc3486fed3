/** A tally as chalked on a garage wall: four strokes and one across; bottles to come are dots. */
export interface Stroke {
  readonly number: number;
  readonly path: string;
  /** Where a small ring stands if something is noted of it. */
  readonly ring: { readonly x: number; readonly y: number };
}

export interface Tally {
  readonly strokes: readonly Stroke[];
  readonly dots: readonly { readonly x: number; readonly y: number }[];
  readonly height: number;
}

const GROUP = 5;
const GAP_MAX = 17;
const GROUP_WIDTH_MAX = 132;
const GROUP_WIDTH_MIN = 62;
const ROW_HEIGHT = 58;
const TOP = 8;
const FOOT = 10;

/** Strokes lean a little to either side, always the same for the same bottle. */
const lean = (number: number): number => ((number * 37) % 5) - 2;

export function layOutTally(width: number, filled: number, planned: number): Tally {
  const total = Math.max(filled, planned, 1);
  const groups = Math.ceil(total / GROUP);
  const inRow = Math.max(1, Math.min(groups, Math.floor(width / GROUP_WIDTH_MIN)));
  const groupWidth = Math.min(width / inRow, GROUP_WIDTH_MAX);
  const gap = Math.min(GAP_MAX, groupWidth / 6);
  const strokes: Stroke[] = [];
  const dots: { x: number; y: number }[] = [];
  for (let index = 0; index < total; index += 1) {
    const group = Math.floor(index / GROUP);
    const place = index % GROUP;
    const left = (group % inRow) * groupWidth + 8;
    const top = Math.floor(group / inRow) * ROW_HEIGHT + TOP;
    const foot = top + ROW_HEIGHT - TOP - FOOT;
    const x = left + place * gap + 3;
    if (index >= filled) {
      dots.push({ x, y: foot - 1 });
      continue;
    }
    const number = index + 1;
    const tilt = lean(number) * 0.4;
    strokes.push(
      place === GROUP - 1
        ? {
            number,
            path: `M${round(left - 4)} ${foot - 6}L${round(left + 3 * gap + 10)} ${top + 6}`,
            ring: { x: round(left + 3 * gap + 14), y: top + 3 },
          }
        : {
            number,
            path: `M${round(x + tilt)} ${top}L${round(x - 1 - tilt)} ${foot}`,
            ring: { x: round(x), y: top - 2 },
          },
    );
  }
  return { strokes, dots, height: Math.ceil(groups / inRow) * ROW_HEIGHT };
}

const round = (value: number): number => Math.round(value * 10) / 10;

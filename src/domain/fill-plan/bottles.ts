/** Bottles of one size. */
export interface BottleGroup {
  readonly count: number;
  readonly litres: number;
}

export type Bottles =
  | { readonly ok: true; readonly groups: readonly BottleGroup[] }
  | { readonly ok: false; readonly reason: string };

const GROUPS_MAX = 8;
const COUNT_MAX = 2000;
const LITRES_MIN = 0.1;
const LITRES_MAX = 5;
/** Spare bottles and caps: two, and one of twelve. Common practice, no source. */
const SPARE_MIN = 2;
const SPARE_SHARE = 1 / 12;

/** Reads "12x0.5,6x0.33": numbers of bottles and their size in litres. */
export function readBottles(text: string): Bottles {
  const parts = text.split(',').map((part) => part.trim());
  if (parts.length > GROUPS_MAX) return { ok: false, reason: `bottles: name at most ${GROUPS_MAX} sizes` };
  const groups: BottleGroup[] = [];
  for (const part of parts) {
    const [, count, litres] = /^(\d{1,4})\s*[x×*]\s*(\d{1,2}(?:\.\d{1,4})?|\.\d{1,4})$/.exec(part) ?? [];
    const group = { count: Number(count), litres: Number(litres) };
    if (count === undefined || litres === undefined) {
      return {
        ok: false,
        reason: `bottles: "${part.slice(0, 40)}" is not understood; write 12x0.5,6x0.33 (number x litres)`,
      };
    }
    if (group.count < 1 || group.count > COUNT_MAX) {
      return { ok: false, reason: `bottles: the number of bottles must be 1 to ${COUNT_MAX}` };
    }
    if (group.litres < LITRES_MIN || group.litres > LITRES_MAX) {
      return { ok: false, reason: `bottles: a bottle must hold ${LITRES_MIN} to ${LITRES_MAX} L` };
    }
    groups.push(group);
  }
  return { ok: true, groups };
}

export const bottleCount = (groups: readonly BottleGroup[]): number =>
  groups.reduce((sum, { count }) => sum + count, 0);

export const bottleLitres = (groups: readonly BottleGroup[]): number =>
  groups.reduce((sum, { count, litres }) => sum + count * litres, 0);

export const spares = (count: number): number => Math.max(SPARE_MIN, Math.ceil(count * SPARE_SHARE));

import type { BottleNote } from '../../../src/contract/fill.ts';
import { clockTime } from '../../format/times.ts';
import { listed } from '../../format/words.ts';
import type { LocalBottle, LocalFill } from '../../store/fill-queue.ts';

export const NOTE_WORD: Readonly<Record<BottleNote, string>> = {
  clean: 'clean',
  foamy: 'foamed',
  gushed: 'gushed',
  spilled: 'spilled',
  'under-filled': 'too low',
};

/** "7 of 24 bottles are full, bottle 5 foamed". */
export function tallySentence(bottles: readonly Pick<LocalBottle, 'number' | 'note'>[], planned: number): string {
  const count = planned > 0 ? `${bottles.length} of ${planned}` : String(bottles.length);
  const full = `${count} ${bottles.length === 1 && planned === 0 ? 'bottle is' : 'bottles are'} full`;
  const noted = bottles
    .filter(({ note }) => note !== 'clean')
    .map(({ number, note }) => `bottle ${number} ${NOTE_WORD[note]}`);
  return noted.length === 0 ? full : `${full}, ${listed(noted)}`;
}

/** Bottles that have to be seen before their pace says anything. */
const PACED = 3;

/** "done about 19:52" by the pace so far; null while that cannot be told, or nothing is to come. */
export function doneWords(
  { bottles, planned }: Pick<LocalFill, 'bottles' | 'planned'>,
  nowMs: number,
  zone: string,
): string | null {
  const toCome = planned.reduce((sum, { count }) => sum + count, 0) - bottles.length;
  const times = bottles.map(({ filledAt }) => Date.parse(filledAt));
  const [firstMs, lastMs] = [Math.min(...times), Math.max(...times)];
  if (bottles.length < PACED || toCome <= 0 || lastMs <= firstMs) return null;
  const everyMs = (lastMs - firstMs) / (bottles.length - 1);
  return `done about ${clockTime(Math.max(nowMs, lastMs) + toCome * everyMs, nowMs, zone)}`;
}

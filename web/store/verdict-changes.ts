import type { KegState, VerdictKind } from '../../src/contract/state.ts';
import { VERDICT_WORD } from '../format/words.ts';

export type Kinds = ReadonlyMap<string, VerdictKind>;

export const kindsOf = (kegs: readonly KegState[]): Kinds =>
  new Map(kegs.filter((keg) => keg.adopted).map((keg) => [keg.kegId, keg.verdict.kind]));

/** One sentence a keg whose verdict is another than before; kegs that were not known before say nothing. */
export function changedVerdicts(before: Kinds, kegs: readonly KegState[]): string {
  return kegs
    .filter((keg) => keg.adopted && before.has(keg.kegId) && before.get(keg.kegId) !== keg.verdict.kind)
    .map((keg) => `${keg.batchName ?? keg.name}: ${VERDICT_WORD[keg.verdict.kind]}. ${keg.verdict.headline}`)
    .join(' ');
}

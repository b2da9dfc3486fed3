import { computed, effect, signal } from '@preact/signals';
import type { KegState, VerdictKind } from '../../src/contract/state.ts';
import { VERDICT_WORD } from '../format/words.ts';
import { heard, view } from './dashboard.ts';

/** What the one live region says: changes of verdicts, and nothing that merely ticks. */
export const announcement = signal('');

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

export function startAnnouncing(): void {
  let before: Kinds = new Map();
  const lost = computed(() => heard.value.kind === 'old' && heard.value.said);
  effect(() => {
    const { kegs } = view.value;
    const changed = changedVerdicts(before, kegs);
    before = kindsOf(kegs);
    if (changed !== '') announcement.value = changed;
  });
  effect(() => {
    if (lost.value) announcement.value = 'Quietkeg is not heard any more. Can’t tell about any keg.';
  });
}

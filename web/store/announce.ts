import { computed, effect, signal } from '@preact/signals';
import { heard, view } from './dashboard.ts';
import { changedVerdicts, type Kinds, kindsOf } from './verdict-changes.ts';

/** What the one live region says: changes of verdicts, and nothing that merely ticks. */
export const announcement = signal('');

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

import { type Signal, signal } from '@preact/signals';
import { ask, type Trouble } from './api.ts';

/** Something read from the API: kept while it is read again, so that a page never goes blank. */
export interface Resource<T> {
  readonly value: Signal<T | null>;
  readonly trouble: Signal<Trouble | null>;
  load(): Promise<void>;
}

export function resource<T>(path: string): Resource<T> {
  const value = signal<T | null>(null);
  const trouble = signal<Trouble | null>(null);
  let turn = 0;
  return {
    value,
    trouble,
    async load() {
      turn += 1;
      const mine = turn;
      const answer = await ask<T>('GET', path);
      // An older answer that comes late must not replace a newer one.
      if (mine !== turn) return;
      trouble.value = answer.ok ? null : answer.trouble;
      if (answer.ok) value.value = answer.body;
    },
  };
}

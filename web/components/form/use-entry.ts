import { useState } from 'preact/hooks';
import type { Trouble } from '../../store/api.ts';
import { useTrouble } from './use-trouble.ts';

export interface Entry {
  readonly trouble: Trouble | null;
  readonly busy: boolean;
  readonly done: boolean;
  /** Sends once; further presses wait until the answer is here. */
  send(send: () => Promise<Trouble | null>, after?: () => void): Promise<void>;
  refuse(detail: string): void;
}

/** The life of a form that is sent: busy, then done or in trouble. */
export function useEntry(): Entry {
  const [trouble, setTrouble] = useTrouble();
  const [busy, setBusy] = useState(false);
  const [done, setDone] = useState(false);
  return {
    trouble,
    busy,
    done,
    async send(send, after) {
      if (busy) return;
      setBusy(true);
      setDone(false);
      const answer = await send();
      setTrouble(answer);
      setBusy(false);
      setDone(answer === null);
      if (answer === null) after?.();
    },
    refuse(detail) {
      setTrouble({ detail, errors: [] });
    },
  };
}

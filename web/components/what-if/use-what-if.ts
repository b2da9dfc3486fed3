import { useEffect, useRef, useState } from 'preact/hooks';
import type { WhatIfAnswer, WhatIfRequest } from '../../../src/contract/what-if.ts';
import type { Answer, Trouble } from '../../store/api.ts';
import { later } from '../../store/clock.ts';

export type AskWhatIf = (request: WhatIfRequest, signal: AbortSignal) => Promise<Answer<WhatIfAnswer>>;

interface Asked {
  /** The newest answer: kept while the next one is asked for, so that the picture never goes blank. */
  readonly answer: WhatIfAnswer | null;
  readonly trouble: Trouble | null;
  readonly waiting: boolean;
}

/** Long enough for a second press of +, short enough to feel at once. */
const PAUSE_MS = 350;

/** Asks a little after the last change, and gives up what was asked before. */
export function useWhatIf(request: WhatIfRequest | null, ask: AskWhatIf): Asked {
  const [state, setState] = useState<Asked>({ answer: null, trouble: null, waiting: true });
  const asking = useRef(ask);
  asking.current = ask;
  const key = request === null ? '' : JSON.stringify(request);
  useEffect(() => {
    if (request === null) {
      setState((before) => ({ ...before, waiting: false }));
      return;
    }
    const cancel = new AbortController();
    setState((before) => ({ ...before, waiting: true }));
    const stop = later(PAUSE_MS, () => {
      void asking.current(request, cancel.signal).then((told) => {
        if (cancel.signal.aborted) return;
        setState((before) =>
          told.ok
            ? { answer: told.body, trouble: null, waiting: false }
            : { answer: before.answer, trouble: told.trouble, waiting: false },
        );
      });
    });
    return () => {
      stop();
      cancel.abort();
    };
  }, [key]);
  return state;
}

import type { Verdict, VerdictKind } from './judge.ts';

/** How long everything must be right before a keg is called ready (ms). Chosen, no source. */
const READY_AFTER_MS = 60_000;

/**
 * A verdict that does not flicker. Anything that is amiss is said at once, but a keg becomes ready only when everything has
 * been right for a while. `before`: what was said last, null: nothing; `rightForMs`: for how long all has been right.
 */
export function dwell(verdict: Verdict, before: VerdictKind | null, rightForMs: number): Verdict {
  if (verdict.kind !== 'ready' || before === 'ready' || before === null || rightForMs >= READY_AFTER_MS) return verdict;
  return { ...verdict, kind: 'wait', headline: 'Everything is right. Ready in a minute, if it stays so.' };
}

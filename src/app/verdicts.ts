import type { CheckName } from '../domain/verdict/check.ts';
import { dwell } from '../domain/verdict/dwell.ts';
import type { Verdict, VerdictKind } from '../domain/verdict/judge.ts';
import type { VerdictJournal } from '../ports/journal.ts';

const NOTHING_PASSED: ReadonlySet<CheckName> = new Set();

/** A verdict and since when it is of its kind. */
export interface Settled {
  readonly verdict: Verdict;
  readonly sinceMs: number;
}

/** What was said of each keg, so that a verdict has a since, does not flicker, and leaves a history. */
export class Verdicts {
  readonly #journal: VerdictJournal;
  readonly #said: Map<string, { kind: VerdictKind; sinceMs: number }>;
  /** Checks of each keg that passed when last judged. */
  readonly #passed = new Map<string, ReadonlySet<CheckName>>();
  /** Since when all checks of a keg have been right. */
  readonly #rightSinceMs = new Map<string, number>();

  constructor(journal: VerdictJournal) {
    this.#journal = journal;
    this.#said = journal.lastVerdicts();
  }

  passed(kegId: string): ReadonlySet<CheckName> {
    return this.#passed.get(kegId) ?? NOTHING_PASSED;
  }

  /** What is to be said of a keg that was judged so. `isPending`: its estimate is still being computed after a start. */
  settle(kegId: string, judged: Verdict, isPending: boolean, nowMs: number): Settled {
    const passing = judged.checks.filter(({ state }) => state === 'pass');
    this.#passed.set(kegId, new Set(passing.map(({ name }) => name)));
    const said = this.#said.get(kegId);
    const verdict = dwell(judged, said?.kind ?? null, this.#rightForMs(kegId, judged.kind, nowMs));
    if (said?.kind === verdict.kind) return { verdict, sinceMs: said.sinceMs };
    // A start is no news: what was said before holds until the estimate is there again.
    if (said !== undefined && isPending) return { verdict, sinceMs: said.sinceMs };
    this.#journal.saveVerdict(kegId, verdict.kind, nowMs, verdict.headline);
    this.#said.set(kegId, { kind: verdict.kind, sinceMs: nowMs });
    return { verdict, sinceMs: nowMs };
  }

  #rightForMs(kegId: string, kind: VerdictKind, nowMs: number): number {
    if (kind !== 'ready') {
      this.#rightSinceMs.delete(kegId);
      return 0;
    }
    const sinceMs = this.#rightSinceMs.get(kegId) ?? nowMs;
    this.#rightSinceMs.set(kegId, sinceMs);
    return nowMs - sinceMs;
  }
}

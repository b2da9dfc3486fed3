import type { VerdictKind } from '../../../src/contract/state.ts';
import { timeSpan } from '../../format/times.ts';
import { VERDICT_WORD } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';

/** A verdict from the moment at which it was said. */
export interface SaidVerdict {
  readonly atMs: number;
  readonly kind: VerdictKind;
  readonly headline: string;
}

/** A time in which one verdict held. */
export interface Run extends Span {
  readonly kind: VerdictKind;
  readonly headline: string;
}

/** The verdicts that held within a span, oldest first: each until the next one, the last until the end of the span. */
export function runsOf(verdicts: readonly SaidVerdict[], span: Span): Run[] {
  const sorted = verdicts.toSorted((a, b) => a.atMs - b.atMs);
  return sorted.flatMap(({ atMs, kind, headline }, index) => {
    const fromMs = Math.max(atMs, span.fromMs);
    const toMs = Math.min(sorted[index + 1]?.atMs ?? span.toMs, span.toMs);
    return fromMs < toMs ? [{ fromMs, toMs, kind, headline }] : [];
  });
}

export interface PlacedRun extends Run {
  readonly x: number;
  readonly width: number;
  readonly hasSign: boolean;
  readonly hasWord: boolean;
}

/** Where a moment stands on a strip. */
export const xOf = (atMs: number, span: Span, left: number, width: number): number =>
  left + ((atMs - span.fromMs) / (span.toMs - span.fromMs)) * width;

const SIGN_PX = 24;
const LETTER_PX = 7.6;

/** Where each run stands on a strip that begins at `left`; sign and word only where they find room. */
export function placeRuns(runs: readonly Run[], span: Span, left: number, width: number): PlacedRun[] {
  return runs.map((run) => {
    const x = xOf(run.fromMs, span, left, width);
    const own = xOf(run.toMs, span, left, width) - x;
    const word = VERDICT_WORD[run.kind].length * LETTER_PX + SIGN_PX + 6;
    return { ...run, x, width: own, hasSign: own >= SIGN_PX, hasWord: own >= word };
  });
}

/** Which run is meant by a touch: the one under it, or a short one that it can hardly have hit. */
export function runAt(placed: readonly PlacedRun[], x: number): number | null {
  const FINGER_PX = 8;
  const distance = (run: PlacedRun): number => Math.max(run.x - x, x - run.x - run.width, 0);
  const near = placed.map((run, index) => ({ run, index })).filter(({ run }) => distance(run) <= FINGER_PX);
  const hit = near.toSorted((a, b) => distance(a.run) - distance(b.run))[0];
  const short = near
    .filter(({ run }) => run.width < FINGER_PX)
    .toSorted((a, b) => distance(a.run) - distance(b.run))[0];
  return (short ?? hit)?.index ?? null;
}

/** "Tue 14:02 to 18:10, Waiting: Time alone will do it." */
export const runSentence = ({ fromMs, toMs, kind, headline }: Run, nowMs: number, zone: string): string =>
  `${timeSpan(fromMs, toMs, nowMs, zone)}, ${VERDICT_WORD[kind]}: ${headline}`;

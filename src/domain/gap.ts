/** Why readings are missing. */
export type GapCause =
  /** The service did not run. Probes and broker may have kept what came meanwhile. */
  | 'service-down'
  /** The broker had forgotten us when we came back: what it took meanwhile is lost. */
  | 'session-lost'
  /** The broker counted messages that it threw away. */
  | 'broker-dropped'
  /** Nothing else is known: the probe said nothing, or nobody heard it. */
  | 'probe-silent';

export interface Span {
  readonly fromMs: number;
  readonly toMs: number;
}

/** A time in which readings were or may have been lost, noted when it happened. */
export interface GapMark extends Span {
  readonly cause: Exclude<GapCause, 'probe-silent'>;
}

export interface Gap extends Span {
  readonly cause: GapCause;
}

/** A rest of a hole shorter than this is the edge of its mark, not a silence of its own (ms). */
const REST_MS_MIN = 60_000;

/**
 * Gaps to show of a curve: each hole of its readings by what explains it, and losses that are certain even where
 * other readings came through. That the service was down shows only where readings are missing in the end.
 * @param holes spans without readings, in order
 */
export function explainGaps(holes: readonly Span[], marks: readonly GapMark[], within: Span): Gap[] {
  const gaps: Gap[] = [];
  for (const mark of marks) {
    const spans = mark.cause === 'service-down' ? holes.map((hole) => overlap(hole, mark)) : [mark];
    for (const span of spans) {
      const shown = span === null ? null : overlap(span, within);
      if (shown !== null) gaps.push({ cause: mark.cause, ...shown });
    }
  }
  for (const hole of holes) {
    for (const rest of without(hole, marks)) {
      const shown = overlap(rest, within);
      if (shown !== null && rest.toMs - rest.fromMs >= REST_MS_MIN) gaps.push({ cause: 'probe-silent', ...shown });
    }
  }
  return gaps.toSorted((a, b) => a.fromMs - b.fromMs || a.toMs - b.toMs);
}

/** Spans between times that lie farther apart than `gapMs`, and after the last one. `timesMs` rise. */
export function holesBetween(timesMs: readonly number[], bucketMs: number, gapMs: number, untilMs: number): Span[] {
  const holes: Span[] = [];
  for (const [index, timeMs] of timesMs.entries()) {
    const nextMs = timesMs[index + 1] ?? untilMs;
    if (nextMs - timeMs > gapMs) holes.push({ fromMs: timeMs + bucketMs, toMs: nextMs });
  }
  return holes;
}

function overlap(a: Span, b: Span): Span | null {
  const fromMs = Math.max(a.fromMs, b.fromMs);
  const toMs = Math.min(a.toMs, b.toMs);
  return fromMs < toMs ? { fromMs, toMs } : null;
}

/** What is left of a span. */
function without(span: Span, taken: readonly Span[]): Span[] {
  let rests: Span[] = [span];
  for (const one of taken) {
    rests = rests.flatMap((rest) => {
      const before = overlap(rest, { fromMs: rest.fromMs, toMs: one.fromMs });
      const after = overlap(rest, { fromMs: one.toMs, toMs: rest.toMs });
      return [before, after].filter((part) => part !== null);
    });
  }
  return rests;
}

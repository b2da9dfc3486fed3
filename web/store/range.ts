/** What part of time a curve shows. `last` and `batch` follow the present, `span` stands still. */
export type Range =
  | { readonly kind: 'last'; readonly hours: number }
  | { readonly kind: 'batch'; readonly fromMs: number }
  | { readonly kind: 'span'; readonly fromMs: number; readonly toMs: number };

export interface Span {
  readonly fromMs: number;
  readonly toMs: number;
}

const HOUR_MS = 3_600_000;
/** Closer than this there is nothing to see: probes speak about once a minute. */
const SHORTEST_MS = 20 * 60_000;
/** A batch may last half a year; nothing here looks further back than two. */
const LONGEST_MS = 2 * 365 * 24 * HOUR_MS;

export function spanOf(range: Range, nowMs: number): Span {
  switch (range.kind) {
    case 'last':
      return { fromMs: nowMs - range.hours * HOUR_MS, toMs: nowMs };
    case 'batch':
      return { fromMs: Math.min(range.fromMs, nowMs - HOUR_MS), toMs: nowMs };
    case 'span':
      return { fromMs: range.fromMs, toMs: range.toMs };
  }
}

/** Closer (factor below 1) or wider around an instant, which keeps its place. Never past the present. */
export function zoomed(span: Span, factor: number, aroundMs: number, nowMs: number): Span {
  const length = span.toMs - span.fromMs;
  const next = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, length * factor));
  const share = (aroundMs - span.fromMs) / length;
  return heldBack({ fromMs: aroundMs - share * next, toMs: aroundMs + (1 - share) * next }, nowMs);
}

/** Earlier (negative) or later by a share of what is shown. Never past the present. */
export function moved(span: Span, share: number, nowMs: number): Span {
  const by = (span.toMs - span.fromMs) * share;
  return heldBack({ fromMs: span.fromMs + by, toMs: span.toMs + by }, nowMs);
}

function heldBack(span: Span, nowMs: number): Span {
  const ahead = Math.max(0, span.toMs - nowMs);
  return { fromMs: Math.round(span.fromMs - ahead), toMs: Math.round(span.toMs - ahead) };
}

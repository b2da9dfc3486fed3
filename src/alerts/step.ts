import type { Finding, Rule } from './rule.ts';

/** Where an alert stands. Quiet has no episode; each other state is one episode with its begin. */
export type AlertState =
  | { readonly kind: 'quiet' }
  | { readonly kind: 'building'; readonly beganAtMs: number; readonly lastSampleMs: number }
  | { readonly kind: 'active'; readonly beganAtMs: number; readonly lastSampleMs: number }
  | {
      readonly kind: 'clearing';
      readonly beganAtMs: number;
      readonly lastSampleMs: number;
      readonly clearingSinceMs: number;
    }
  | { readonly kind: 'ended'; readonly beganAtMs: number; readonly lastSampleMs: number; readonly endedAtMs: number };

export const QUIET = { kind: 'quiet' } as const satisfies AlertState;

/**
 * Moves an alert by one sample. A sample older than the last one changes nothing: history is corrected quietly.
 * An ended alert is quiet again with the next sample. Silence is no sample and therefore ends nothing.
 */
export function stepAlert(rule: Rule, previous: AlertState, finding: Finding, sampleMs: number): AlertState {
  if (previous.kind !== 'quiet' && sampleMs <= previous.lastSampleMs) return previous;
  const state = previous.kind === 'ended' ? QUIET : previous;
  switch (state.kind) {
    case 'quiet':
      return finding === 'holds' ? settle(rule, sampleMs, sampleMs) : QUIET;
    case 'building': {
      if (finding !== 'holds') return QUIET;
      const gap = sampleMs - state.lastSampleMs > rule.sampleGapMsMax;
      return settle(rule, gap ? sampleMs : state.beganAtMs, sampleMs);
    }
    case 'active':
      return finding === 'over'
        ? clear(rule, state.beganAtMs, sampleMs, sampleMs)
        : { ...state, lastSampleMs: sampleMs };
    case 'clearing':
      return finding === 'over'
        ? clear(rule, state.beganAtMs, state.clearingSinceMs, sampleMs)
        : { kind: 'active', beganAtMs: state.beganAtMs, lastSampleMs: sampleMs };
  }
}

function settle(rule: Rule, beganAtMs: number, sampleMs: number): AlertState {
  const kind = sampleMs - beganAtMs >= rule.onDelayMs ? 'active' : 'building';
  return { kind, beganAtMs, lastSampleMs: sampleMs };
}

function clear(rule: Rule, beganAtMs: number, clearingSinceMs: number, sampleMs: number): AlertState {
  if (sampleMs - clearingSinceMs < rule.offDelayMs) {
    return { kind: 'clearing', beganAtMs, lastSampleMs: sampleMs, clearingSinceMs };
  }
  return { kind: 'ended', beganAtMs, lastSampleMs: sampleMs, endedAtMs: sampleMs };
}

export type RuleName = 'cold-enough' | 'probe-silent' | 'readings-not-kept' | 'readings-wait';

export type AlertLevel =
  /** Good to know. */
  | 'news'
  /** Someone should look within hours. */
  | 'attention'
  /** Someone must act now. */
  | 'urgent';

/** How the episodes of a rule begin and end. Delays run on the time of the samples, not on the wall. */
export interface Rule {
  readonly name: RuleName;
  readonly level: AlertLevel;
  /** How long the condition must hold before the episode is active (ms). */
  readonly onDelayMs: number;
  /** How long it must be over before the episode has ended (ms). */
  readonly offDelayMs: number;
  /** A longer silence between two samples proves nothing: the on-delay begins anew (ms). */
  readonly sampleGapMsMax: number;
  /** True where what is told of may be what keeps the journal from being written: then it is told all the same. */
  readonly isToldUnsaved: boolean;
}

const MINUTE_MS = 60_000;

export const COLD_ENOUGH: Rule = {
  name: 'cold-enough',
  level: 'news',
  onDelayMs: 10 * MINUTE_MS,
  offDelayMs: 0,
  sampleGapMsMax: 30 * MINUTE_MS,
  isToldUnsaved: false,
};

/** Its delays are in the probe's own limits: late is building, stale is active. */
export const PROBE_SILENT: Rule = {
  name: 'probe-silent',
  level: 'attention',
  onDelayMs: 0,
  offDelayMs: 0,
  sampleGapMsMax: Number.POSITIVE_INFINITY,
  isToldUnsaved: false,
};

/** New readings are refused because the disk does not take them. It is known for certain, so nothing is waited for. */
export const READINGS_NOT_KEPT: Rule = {
  name: 'readings-not-kept',
  level: 'urgent',
  onDelayMs: 0,
  offDelayMs: 0,
  sampleGapMsMax: Number.POSITIVE_INFINITY,
  isToldUnsaved: true,
};

/** The store takes no readings. They are safe on the disk, so it is worth a word only when it lasts. */
export const READINGS_WAIT: Rule = {
  name: 'readings-wait',
  level: 'attention',
  onDelayMs: 5 * MINUTE_MS,
  offDelayMs: 0,
  sampleGapMsMax: MINUTE_MS,
  isToldUnsaved: false,
};

/** What one sample says of a rule's condition. */
export type Finding =
  /** The condition holds. */
  | 'holds'
  /** Neither: between the limit to begin and the limit to end. */
  | 'between'
  /** The condition is over. */
  | 'over';

/** Finding for a rule that begins at or below one limit and ends above a higher one. */
export function findLow(value: number, beginAt: number, endAbove: number): Finding {
  if (value <= beginAt) return 'holds';
  return value > endAbove ? 'over' : 'between';
}

export const RULES: Readonly<Record<RuleName, Rule>> = {
  'cold-enough': COLD_ENOUGH,
  'probe-silent': PROBE_SILENT,
  'readings-not-kept': READINGS_NOT_KEPT,
  'readings-wait': READINGS_WAIT,
};

/** Every rule that ships, in the order in which they are listed. */
export const RULE_NAMES = [
  'ready-to-fill',
  'cold-enough',
  'carbonated',
  'no-longer-cold',
  'will-pass-window',
  'over-window',
  'pressure-falling',
  'leak',
  'regulator-creeping',
  'cylinder-low',
  'fridge-warm',
  'near-freezing',
  'over-working-pressure',
  'room-co2-long',
  'room-co2-short',
  'room-co2-danger',
  'probe-silent',
  'probe-implausible',
  'probe-zero',
  'entry-contradicts-probes',
  'service-trouble',
  'readings-not-kept',
  'readings-wait',
] as const;
export type RuleName = (typeof RULE_NAMES)[number];

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

/** A figure of a rule's condition that may be set. */
export interface RuleLimit {
  readonly usual: number;
  /** UCUM code; `1` for a probability. */
  readonly unit: string;
  /** What may be set. */
  readonly low: number;
  readonly high: number;
  readonly what: string;
}

/** A rule as it ships, with all that its reader should know. */
export interface ShippedRule extends Rule {
  readonly title: string;
  readonly enabled: boolean;
  readonly limits: Readonly<Record<string, RuleLimit>>;
  /** It watches single readings, so that those which come late still count. */
  readonly rereads: boolean;
  /** An episode that ended is not begun again for the same target. */
  readonly once: boolean;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  readonly timeToAct: string;
  /** Where the limits come from. */
  readonly source: string;
}

/** What somebody set of a rule; what is left out is as it ships. */
export interface RuleSettings {
  readonly enabled?: boolean | undefined;
  readonly onDelayMs?: number | undefined;
  readonly offDelayMs?: number | undefined;
  readonly limits?: Readonly<Record<string, number>> | undefined;
}

export type Limits = Readonly<Record<string, number>>;

/** A rule with its settings. */
export interface RuleInForce extends Rule {
  readonly enabled: boolean;
  readonly limits: Limits;
  readonly rereads: boolean;
  readonly once: boolean;
}

/** Rules as they are in force, by name. */
export type RuleSource = (name: RuleName) => RuleInForce;

/** What one sample says of a rule's condition. */
export type Finding =
  /** The condition holds. */
  | 'holds'
  /** Neither: between the limit to begin and the limit to end. */
  | 'between'
  /** The condition is over. */
  | 'over';

/** `unknown`: nothing can be said, because something is not heard. It begins nothing and ends nothing. */
export type Observation = Finding | 'unknown';

/** Finding for a rule that begins at or below one limit and ends above a higher one. */
export function findLow(value: number, beginAt: number, endAbove: number): Finding {
  if (value <= beginAt) return 'holds';
  return value > endAbove ? 'over' : 'between';
}

/** Finding for a rule that begins at or above one limit and ends below a lower one. */
export function findHigh(value: number, beginAt: number, endBelow: number): Finding {
  if (value >= beginAt) return 'holds';
  return value < endBelow ? 'over' : 'between';
}

/** A limit by its name. Throws on one that the rule does not have: that is a mistake of ours. */
export function limitOf(rule: Pick<RuleInForce, 'name' | 'limits'>, limit: string): number {
  const value = rule.limits[limit];
  if (value === undefined) throw new Error(`rule ${rule.name} has no limit ${limit}`);
  return value;
}

/** A shipped rule with what somebody set. */
export function inForce(shipped: ShippedRule, settings: RuleSettings): RuleInForce {
  const usual = Object.entries(shipped.limits).map(([name, limit]) => [name, limit.usual] as const);
  return {
    name: shipped.name,
    level: shipped.level,
    onDelayMs: settings.onDelayMs ?? shipped.onDelayMs,
    offDelayMs: settings.offDelayMs ?? shipped.offDelayMs,
    sampleGapMsMax: shipped.sampleGapMsMax,
    isToldUnsaved: shipped.isToldUnsaved,
    enabled: settings.enabled ?? shipped.enabled,
    limits: { ...Object.fromEntries(usual), ...settings.limits },
    rereads: shipped.rereads,
    once: shipped.once,
  };
}

import type { AlertLevel, Observation, Rule, RuleName } from './rule.ts';
import type { AlertState } from './step.ts';

/** What an episode says to a person. */
export interface EpisodeWords {
  readonly measured: number | null;
  readonly limit: number | null;
  readonly unit: string | null;
  readonly message: string;
  readonly advice: string;
}

/** Episodes of one rule and one scope whose conditions began within a time of each other have one cause, and one message. */
export interface Scope {
  readonly key: string;
  /** When the condition began, as far as is known (ms). */
  readonly onsetMs: number;
  readonly withinMs: number;
}

export interface EpisodeKey {
  readonly rule: RuleName;
  readonly target: string;
}

/** One sample of a rule's condition. */
export interface AlertSample {
  readonly rule: RuleName;
  readonly target: string;
  readonly kegId: string | null;
  readonly finding: Observation;
  readonly atMs: number;
  readonly words: EpisodeWords;
  /** What to say instead when this sample ends the episode. */
  readonly endWords: EpisodeWords;
  readonly scope?: Scope;
  /** Causes that explain it: while one of them is told of, this is not. */
  readonly under?: readonly EpisodeKey[];
}

/** One occurrence of an alert, from begin to end, as it is journalled and shown. */
export interface Episode extends EpisodeWords {
  readonly id: string;
  readonly rule: RuleName;
  readonly kegId: string | null;
  /** What the rule watches: a keg, place or gas supply, a batch, a probe, or a part of the service. */
  readonly target: string;
  readonly level: AlertLevel;
  readonly state: Exclude<AlertState, { kind: 'quiet' }>;
  readonly unverified: boolean;
  readonly acknowledgedAtMs: number | null;
  readonly mutedUntilMs: number | null;
  readonly mutedBecause: string | null;
  /** Id of the episode that speaks for this one, so that it is not told by itself; null: it is. */
  readonly heldBy: string | null;
  readonly scope: Scope | null;
  /** It came several times within days: it takes longer to end, so that all is one message. */
  readonly unsteady: boolean;
}

/** The id tells which occurrence it is, so that the same readings always give the same episode. */
export function episodeId(rule: RuleName, target: string, beganAtMs: number): string {
  return `${rule}.${target}.${beganAtMs}`;
}

export function newEpisode(
  rule: Pick<Rule, 'name' | 'level'>,
  target: string,
  kegId: string | null,
  state: Episode['state'],
  words: EpisodeWords,
): Episode {
  return {
    ...words,
    id: episodeId(rule.name, target, state.beganAtMs),
    rule: rule.name,
    kegId,
    target,
    level: rule.level,
    state,
    unverified: false,
    acknowledgedAtMs: null,
    mutedUntilMs: null,
    mutedBecause: null,
    heldBy: null,
    scope: null,
    unsteady: false,
  };
}

/** Somebody was told that it began: it was active, and no other episode spoke for it. */
export function isTold(episode: Episode): boolean {
  return episode.state.kind !== 'building' && episode.heldBy === null;
}

export function isOpen(episode: Episode): boolean {
  return episode.state.kind !== 'ended';
}

import type { AlertLevel, Rule, RuleName } from './rule.ts';
import type { AlertState } from './step.ts';

/** What an episode says to a person. */
export interface EpisodeWords {
  readonly measured: number | null;
  readonly limit: number | null;
  readonly unit: string | null;
  readonly message: string;
  readonly advice: string;
}

/** One occurrence of an alert, from begin to end, as it is journalled and shown. */
export interface Episode extends EpisodeWords {
  readonly id: string;
  readonly rule: RuleName;
  readonly kegId: string | null;
  /** What the rule watches: a keg id, or a probe id. */
  readonly target: string;
  readonly level: AlertLevel;
  readonly state: Exclude<AlertState, { kind: 'quiet' }>;
  readonly unverified: boolean;
  readonly acknowledgedAtMs: number | null;
  readonly mutedUntilMs: number | null;
}

/** The id tells which occurrence it is, so that the same readings always give the same episode. */
export function episodeId(rule: RuleName, target: string, beganAtMs: number): string {
  return `${rule}.${target}.${beganAtMs}`;
}

export function newEpisode(
  rule: Rule,
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
  };
}

/** An episode is told of from the moment it is active. */
export function isTold(episode: Episode): boolean {
  return episode.state.kind !== 'building';
}

export function isOpen(episode: Episode): boolean {
  return episode.state.kind !== 'ended';
}

import type { Episode } from '../alerts/episode.ts';
import type { KegView } from '../alerts/keg-view.ts';
import type { RuleName, RuleSettings } from '../alerts/rule.ts';
import type { GapMark } from '../domain/gap.ts';
import type { VerdictKind } from '../domain/verdict/judge.ts';

/** Keeps alert episodes. An episode is saved before anybody is told of it. Durable when a method returns. */
export interface EpisodeJournal {
  openEpisodes(): Episode[];
  /** Newest first, open ones included. */
  recentEpisodes(limit: number): Episode[];
  episode(id: string): Episode | null;
  saveEpisode(episode: Episode): void;
  /** Saves a begin or an end that somebody is about to be told; `turnTold` says that it was. */
  saveTurn(episode: Episode): void;
  turnTold(id: string): void;
  /** Turns that were saved and perhaps not told, oldest first. */
  untoldEpisodes(): Episode[];
  /** The last one that has ended, of each rule and target. */
  lastEpisodes(): Episode[];
  /** Episodes that began or ended at or after a time, building ones left out. */
  episodesSince(sinceMs: number): Episode[];
  /** How many episodes of a rule and target that became active began at or after a time. */
  beginsOf(rule: RuleName, target: string, sinceMs: number): number;
  /** For an episode that never became active. */
  removeEpisode(id: string): void;
}

/** Keeps single numbers by name. */
export interface CounterJournal {
  counter(name: string): number | null;
  saveCounter(name: string, value: number): void;
}

/** Keeps when readings were or may have been lost: bounded, newest kept. */
export interface GapJournal {
  saveGapMark(mark: GapMark): void;
  /** Those that touch a span, in order of time. */
  gapMarks(fromMs: number, toMs: number): GapMark[];
  /** Newest first. */
  newestGapMarks(limit: number): GapMark[];
  gapCounts(): Map<GapMark['cause'], number>;
}

/** A verdict that a keg got. */
export interface VerdictChange {
  readonly atMs: number;
  readonly kind: VerdictKind;
  readonly headline: string;
}

/** Keeps since when a keg's verdict is what it is, and what it was before. */
/** Keeps what people set of the rules. */
export interface RuleJournal {
  ruleSettings(): Map<RuleName, RuleSettings>;
  saveRuleSettings(rule: RuleName, settings: RuleSettings): void;
}

/** Keeps how rules saw each keg, so that other settings can be tried on it: bounded, a month. */
export interface KegViewJournal {
  saveKegView(view: KegView): void;
  /** Views of a keg over fromMs <= time < toMs, in order of time. */
  kegViews(kegId: string, fromMs: number, toMs: number): KegView[];
  /** Forgets what is older. */
  dropKegViews(beforeMs: number): void;
}

/** Keeps since when a keg's verdict is what it is. */
export interface VerdictJournal {
  lastVerdicts(): Map<string, { kind: VerdictKind; sinceMs: number }>;
  saveVerdict(kegId: string, kind: VerdictKind, sinceMs: number, headline: string): void;
  /** Verdicts that held within fromMs <= time < toMs, in order; the first may have begun before. */
  verdictsWithin(kegId: string, fromMs: number, toMs: number): VerdictChange[];
}

export interface HeardTopic {
  readonly topic: string;
  readonly sample: string;
  readonly lastHeardAtMs: number;
  readonly messages: number;
}

export interface RejectedMessage {
  readonly topic: string;
  readonly atMs: number;
  readonly reason: string;
  readonly sample: string;
}

/** Keeps what came in but could not be used: bounded, newest kept. */
export interface ListeningJournal {
  heardTopics(): HeardTopic[];
  rejected(): RejectedMessage[];
  rejectedCount(): number;
  saveListening(heard: readonly HeardTopic[], rejected: readonly RejectedMessage[], rejectedCount: number): void;
}

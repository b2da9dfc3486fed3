import type { Episode } from '../alerts/episode.ts';
import type { GapMark } from '../domain/gap.ts';
import type { VerdictKind } from '../domain/verdict/judge.ts';

/** Keeps alert episodes. An episode is saved before anybody is told of it. Durable when a method returns. */
export interface EpisodeJournal {
  openEpisodes(): Episode[];
  /** Newest first, open ones included. */
  recentEpisodes(limit: number): Episode[];
  episode(id: string): Episode | null;
  saveEpisode(episode: Episode): void;
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

import { type Episode, isOpen } from '../alerts/episode.ts';
import type { RuleName } from '../alerts/rule.ts';
import type { Clock, StopTimer } from '../ports/clock.ts';
import type { EpisodeJournal } from '../ports/journal.ts';

/** A journal of episodes that never were: for trials, forgotten with them. */
export class TrialEpisodes implements EpisodeJournal {
  readonly #episodes = new Map<string, Episode>();

  openEpisodes(): Episode[] {
    return this.all().filter(isOpen);
  }
  recentEpisodes(limit: number): Episode[] {
    return this.all().toReversed().slice(0, limit);
  }
  episode(id: string): Episode | null {
    return this.#episodes.get(id) ?? null;
  }
  saveEpisode(episode: Episode): void {
    this.#episodes.set(episode.id, episode);
  }
  saveTurn(episode: Episode): void {
    this.#episodes.set(episode.id, episode);
  }
  turnTold(): void {}
  untoldEpisodes(): Episode[] {
    return [];
  }
  lastEpisodes(): Episode[] {
    return [];
  }
  episodesSince(sinceMs: number): Episode[] {
    return this.all().filter(({ state }) => state.beganAtMs >= sinceMs);
  }
  beginsOf(rule: RuleName, target: string, sinceMs: number): number {
    return this.episodesSince(sinceMs).filter((episode) => {
      return episode.rule === rule && episode.target === target && episode.state.kind !== 'building';
    }).length;
  }
  removeEpisode(id: string): void {
    this.#episodes.delete(id);
  }

  /** In order of their begins. */
  all(): Episode[] {
    return [...this.#episodes.values()].toSorted((a, b) => a.state.beganAtMs - b.state.beganAtMs);
  }
}

/** A clock that goes through the past. Its timers never fall due. */
export class PastClock implements Clock {
  #atMs: number;
  readonly #startMs: number;

  constructor(startMs: number) {
    this.#startMs = startMs;
    this.#atMs = startMs;
  }

  goTo(atMs: number): void {
    this.#atMs = Math.max(this.#atMs, atMs);
  }
  nowMs(): number {
    return this.#atMs;
  }
  monotonicMs(): number {
    return this.#atMs - this.#startMs;
  }
  after(): StopTimer {
    return () => undefined;
  }
  every(): StopTimer {
    return () => undefined;
  }
}

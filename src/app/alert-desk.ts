import { type Episode, type EpisodeWords, isOpen, isTold, newEpisode } from '../alerts/episode.ts';
import { type Finding, RULES, type Rule, type RuleName } from '../alerts/rule.ts';
import { type AlertState, QUIET, stepAlert } from '../alerts/step.ts';
import type { EpisodeJournal } from '../ports/journal.ts';

/** One sample of a rule's condition. */
export interface AlertSample {
  readonly rule: RuleName;
  readonly target: string;
  readonly kegId: string | null;
  readonly finding: Finding;
  readonly atMs: number;
  readonly words: EpisodeWords;
  /** What to say instead when this sample ends the episode. */
  readonly endWords: EpisodeWords;
}

/** How often a building episode is journalled (ms). Each time is a write that the disk confirms. */
const SAVED_EVERY_MS = 60_000;

interface Watched {
  readonly state: AlertState;
  readonly episode: Episode | null;
}

/** Runs the rules over samples. Every change of an episode is journalled before anybody is told. */
export class AlertDesk {
  readonly #journal: EpisodeJournal;
  readonly #tell: (episode: Episode) => void;
  readonly #watched = new Map<string, Watched>();
  readonly #buildingSavedMs = new Map<string, number>();
  /** Told of, but the journal did not take them: with the next sample again. */
  readonly #unsaved = new Set<string>();

  constructor(journal: EpisodeJournal, tell: (episode: Episode) => void) {
    this.#journal = journal;
    this.#tell = tell;
    for (const episode of journal.openEpisodes()) {
      this.#watched.set(key(episode.rule, episode.target), { state: episode.state, episode });
    }
  }

  sample(sample: AlertSample): void {
    const rule = RULES[sample.rule];
    const watchedKey = key(sample.rule, sample.target);
    const before = this.#watched.get(watchedKey) ?? { state: QUIET, episode: null };
    const state = stepAlert(rule, before.state, sample.finding, sample.atMs);
    if (state === before.state) return;
    const episode = this.#follow(rule, before, state, sample);
    if (state.kind === 'quiet') this.#watched.delete(watchedKey);
    else this.#watched.set(watchedKey, { state, episode });
  }

  #follow(rule: Rule, before: Watched, state: AlertState, sample: AlertSample): Episode | null {
    if (state.kind === 'quiet') {
      // It never became active, so nobody was told and nothing is to be kept.
      if (before.state.kind === 'building' && before.episode !== null) this.#forget(before.episode.id);
      return null;
    }
    const same = before.episode !== null && before.episode.state.beganAtMs === state.beganAtMs;
    const previous = same ? before.episode : null;
    if (before.episode !== null && before.state.kind === 'building' && !same) this.#forget(before.episode.id);
    const words = state.kind === 'ended' ? sample.endWords : sample.words;
    const episode: Episode = {
      ...(previous ?? newEpisode(rule, sample.target, sample.kegId, state, words)),
      ...words,
      state,
      unverified: false,
    };
    const turned = previous === null || previous.state.kind !== state.kind || previous.unverified;
    // While building, samples count for the gap rule, to the minute; once active only turns are worth a write.
    const savedMs = this.#buildingSavedMs.get(episode.id) ?? Number.NEGATIVE_INFINITY;
    const isDue = state.kind === 'building' && sample.atMs - savedMs >= SAVED_EVERY_MS;
    if (turned || isDue || this.#unsaved.has(episode.id)) this.#save(rule, episode);
    if (state.kind !== 'building') this.#buildingSavedMs.delete(episode.id);
    else if (turned || isDue) this.#buildingSavedMs.set(episode.id, sample.atMs);
    if (turned && isTold(episode)) this.#tell(episode);
    return episode;
  }

  #forget(id: string): void {
    this.#buildingSavedMs.delete(id);
    this.#journal.removeEpisode(id);
  }

  #save(rule: Rule, episode: Episode): void {
    try {
      this.#journal.saveEpisode(episode);
      this.#unsaved.delete(episode.id);
    } catch (error) {
      if (!rule.isToldUnsaved) throw error;
      this.#unsaved.add(episode.id);
    }
  }

  /** Marks open episodes of a target by whether anything new can be heard. Silence never ends one. */
  markUnverified(rule: RuleName, target: string, unverified: boolean): void {
    const watched = this.#watched.get(key(rule, target));
    if (watched?.episode == null || watched.state.kind !== 'active' || watched.episode.unverified === unverified)
      return;
    this.#replace({ ...watched.episode, unverified });
  }

  /** Ends what watches something that is no longer there. */
  endFor(target: string, atMs: number): void {
    for (const [watchedKey, { state, episode }] of this.#watched) {
      if (episode === null || episode.target !== target || state.kind === 'quiet' || state.kind === 'ended') continue;
      this.#watched.delete(watchedKey);
      if (state.kind === 'building') {
        this.#journal.removeEpisode(episode.id);
        continue;
      }
      const ended: Episode = {
        ...episode,
        state: { kind: 'ended', beganAtMs: state.beganAtMs, lastSampleMs: state.lastSampleMs, endedAtMs: atMs },
      };
      this.#journal.saveEpisode(ended);
      this.#tell(ended);
    }
  }

  acknowledge(id: string, atMs: number): Episode | null {
    const episode = this.get(id);
    return episode === null ? null : this.#replace({ ...episode, acknowledgedAtMs: episode.acknowledgedAtMs ?? atMs });
  }

  mute(id: string, untilMs: number | null): Episode | null {
    const episode = this.get(id);
    return episode === null ? null : this.#replace({ ...episode, mutedUntilMs: untilMs });
  }

  get(id: string): Episode | null {
    for (const { episode } of this.#watched.values()) {
      if (episode?.id === id) return episode;
    }
    return this.#journal.episode(id);
  }

  /** Open episodes, oldest first; those still building included. */
  open(): Episode[] {
    const episodes = [...this.#watched.values()].flatMap(({ episode }) => episode ?? []);
    return episodes.filter(isOpen).toSorted((a, b) => a.state.beganAtMs - b.state.beganAtMs);
  }

  /** Open episodes that somebody was told of. */
  told(): Episode[] {
    return this.open().filter(isTold);
  }

  /** The newest episodes, open or over, newest first. */
  recent(limit: number): Episode[] {
    return this.#journal.recentEpisodes(limit).map((episode) => this.get(episode.id) ?? episode);
  }

  #replace(episode: Episode): Episode {
    this.#journal.saveEpisode(episode);
    const watchedKey = key(episode.rule, episode.target);
    const watched = this.#watched.get(watchedKey);
    if (watched?.episode?.id === episode.id) this.#watched.set(watchedKey, { state: watched.state, episode });
    if (isTold(episode)) this.#tell(episode);
    return episode;
  }
}

function key(rule: RuleName, target: string): string {
  return `${rule}/${target}`;
}

import {
  type AlertSample,
  type Episode,
  type EpisodeKey,
  type EpisodeWords,
  isOpen,
  isTold,
  newEpisode,
} from '../alerts/episode.ts';
import { type AlertMemory, memoryOf, NOTHING_REMEMBERED, rememberSample, resumedMemory } from '../alerts/memory.ts';
import type { Finding, RuleInForce, RuleName, RuleSource } from '../alerts/rule.ts';
import { usualRule } from '../alerts/rules.ts';
import { type AlertState, stepAlert } from '../alerts/step.ts';
import type { EpisodeJournal } from '../ports/journal.ts';

export type { AlertSample };

interface Watched {
  readonly memory: AlertMemory;
  readonly episode: Episode | null;
}

/** How often a building episode is journalled (ms). */
const SAVED_EVERY_MS = 60_000;
/** Begins within this time (ms) that make an alert unsteady, the last one included, and how long it then takes to end. */
const UNSTEADY_MS = 3 * 24 * 3600_000;
const UNSTEADY_BEGINS = 3;
const UNSTEADY_OFF_MS = 24 * 3600_000;
/** After the end of what explained it, an alert has this long to end by itself before it is told (ms). */
const RELEASE_MS = 10 * 60_000;

/**
 * Runs the rules over samples. Every change of an episode is journalled before anybody is told, and a turn that was
 * journalled and perhaps not told is told again after a restart: listeners know an episode by its id.
 */
export class AlertDesk {
  readonly #journal: EpisodeJournal;
  readonly #tell: (episode: Episode) => void;
  readonly #rules: RuleSource;
  readonly #watched = new Map<string, Watched>();
  /** When each building episode was last journalled (ms). */
  readonly #buildingSavedMs = new Map<string, number>();
  /** Told of, but the journal did not take them: with the next sample again. */
  readonly #unsaved = new Set<string>();
  /** The last episode of each rule and target that has ended. */
  readonly #last = new Map<string, Episode>();

  constructor(journal: EpisodeJournal, tell: (episode: Episode) => void, rules: RuleSource = usualRule) {
    this.#journal = journal;
    this.#tell = tell;
    this.#rules = rules;
    for (const episode of journal.lastEpisodes()) {
      this.#last.set(keyOf(episode), episode);
      // Samples from before its end may come again after a restart.
      this.#watched.set(keyOf(episode), { memory: memoryOf(episode.state), episode: null });
    }
    for (const episode of journal.openEpisodes()) {
      const rule = rules(episode.rule);
      const memory = rule.rereads ? resumedMemory(rule, episode.state) : memoryOf(episode.state);
      this.#watched.set(keyOf(episode), { memory, episode });
    }
  }

  /** Tells what was journalled before a stop and may not have been told. Once, when those who listen are there. */
  retell(): void {
    for (const episode of this.#journal.untoldEpisodes()) {
      this.#tell(episode);
      this.#journal.turnTold(episode.id);
    }
  }

  sample(sample: AlertSample): void {
    const rule = this.#rules(sample.rule);
    if (!rule.enabled) return;
    if (sample.finding === 'unknown') {
      this.markUnverified(sample.rule, sample.target, true);
      return;
    }
    const key = keyOf(sample);
    const before = this.#watched.get(key) ?? { memory: NOTHING_REMEMBERED, episode: null };
    const goesOn = before.episode !== null && isOpen(before.episode);
    if (rule.once && !goesOn && this.#last.has(key)) return;
    const { memory, turns } = this.#step(rule, before, sample.finding, sample.atMs);
    // What a late sample shows is not what to speak of.
    const isLate = before.episode !== null && sample.atMs < before.episode.state.lastSampleMs;
    const spoken = isLate && before.episode !== null ? { ...sample, words: before.episode } : sample;
    let episode = before.episode;
    let state: AlertState = before.memory.state;
    for (const turn of turns) {
      if (turn !== state) episode = this.#follow(rule, state, episode, turn, spoken);
      state = turn;
    }
    if (episode !== null && episode.heldBy !== null) episode = this.#release(episode, sample.atMs);
    if (state.kind === 'quiet' && memory.recent.length === 0) this.#watched.delete(key);
    else this.#watched.set(key, { memory, episode });
  }

  #step(rule: RuleInForce, { memory, episode }: Watched, finding: Finding, atMs: number) {
    // As long as an episode speaks for others of its kind, it goes on.
    const speaks = finding === 'over' && episode !== null && this.#heldBy(episode).length > 0;
    const found = speaks ? 'between' : finding;
    const patient =
      episode?.unsteady === true ? { ...rule, offDelayMs: Math.max(rule.offDelayMs, UNSTEADY_OFF_MS) } : rule;
    if (rule.rereads) return rememberSample(patient, memory, found, atMs);
    const state = stepAlert(patient, memory.state, found, atMs);
    return { memory: state === memory.state ? memory : memoryOf(state), turns: [state] };
  }

  #follow(
    rule: RuleInForce,
    before: AlertState,
    known: Episode | null,
    state: AlertState,
    sample: AlertSample,
  ): Episode | null {
    const same = known !== null && state.kind !== 'quiet' && known.state.beganAtMs === state.beganAtMs;
    // It never became active, so nobody was told and nothing is to be kept.
    if (before.kind === 'building' && known !== null && !same) this.#forget(known.id);
    if (state.kind === 'quiet') return null;
    const previous = same ? known : null;
    const words = wordsOf(state.kind === 'ended' ? sample.endWords : sample.words);
    const begun = previous ?? this.#begin(rule, state, sample);
    const wasTold = previous !== null && previous.state.kind !== 'building';
    const marks = wasTold || state.kind === 'building' ? {} : this.#marksOfBegin(sample, begun);
    const episode: Episode = { ...begun, ...words, ...marks, state, unverified: false };
    const turned = previous === null || previous.state.kind !== state.kind || previous.unverified;
    if (state.kind !== 'building') this.#buildingSavedMs.delete(episode.id);
    if (turned && state.kind === 'building') this.#buildingSavedMs.set(episode.id, sample.atMs);
    if (turned || this.#unsaved.has(episode.id)) this.#keepTurn(episode, !wasTold);
    // While building, samples count for the gap rule, to the minute; once active only turns are worth a write.
    else if (state.kind === 'building' && this.#isDue(episode, sample.atMs)) this.#journal.saveEpisode(episode);
    if (state.kind === 'ended') this.#last.set(keyOf(episode), episode);
    return episode;
  }

  /** A building episode is not journalled with each sample: each time is a write that the disk confirms. */
  #isDue({ id }: Episode, atMs: number): boolean {
    if (atMs - (this.#buildingSavedMs.get(id) ?? Number.NEGATIVE_INFINITY) < SAVED_EVERY_MS) return false;
    this.#buildingSavedMs.set(id, atMs);
    return true;
  }

  #forget(id: string): void {
    this.#buildingSavedMs.delete(id);
    this.#journal.removeEpisode(id);
  }

  #begin(rule: RuleInForce, state: Episode['state'], sample: AlertSample): Episode {
    const episode = newEpisode(rule, sample.target, sample.kegId, state, wordsOf(sample.words));
    const last = this.#last.get(keyOf(sample));
    // Who muted an alert does not want to hear of it when it comes again; of danger everybody hears.
    const isMuted = (last?.mutedUntilMs ?? 0) > sample.atMs && rule.level !== 'urgent';
    return isMuted && last !== undefined
      ? { ...episode, mutedUntilMs: last.mutedUntilMs, mutedBecause: last.mutedBecause }
      : episode;
  }

  /** At the moment at which it becomes active: who speaks for it, and whether it comes too often. */
  #marksOfBegin(sample: AlertSample, episode: Episode): Pick<Episode, 'heldBy' | 'scope' | 'unsteady'> {
    const scope = sample.scope ?? null;
    const begins = this.#journal.beginsOf(sample.rule, sample.target, sample.atMs - UNSTEADY_MS);
    // Danger is told each time.
    const unsteady = episode.level !== 'urgent' && begins + 1 >= UNSTEADY_BEGINS;
    const cause = this.#causeOf(sample.under ?? []);
    if (cause !== null) return { heldBy: cause, scope, unsteady };
    if (scope === null) return { heldBy: null, scope, unsteady };
    const speaker = this.open().find((other) => {
      if (other.rule !== sample.rule || other.id === episode.id || !isTold(other) || other.scope === null) return false;
      return other.scope.key === scope.key && Math.abs(other.scope.onsetMs - scope.onsetMs) <= scope.withinMs;
    });
    return { heldBy: speaker?.id ?? null, scope, unsteady };
  }

  #causeOf(causes: readonly EpisodeKey[]): string | null {
    for (const cause of causes) {
      const episode = this.#watched.get(keyOf(cause))?.episode;
      if (episode != null && isOpen(episode)) return episode.id;
    }
    return null;
  }

  /** What was held is told by itself once nothing speaks for it any more, unless it has ended with its cause. */
  #release(episode: Episode, atMs: number): Episode {
    if (episode.state.kind !== 'active') return episode;
    const speaker = episode.heldBy === null ? null : this.get(episode.heldBy);
    if (speaker !== null && isOpen(speaker)) {
      // A cause that only builds up may come to nothing.
      if (speaker.state.kind !== 'building' || atMs - episode.state.beganAtMs < 2 * RELEASE_MS) return episode;
    } else if (speaker?.state.kind === 'ended' && atMs - speaker.state.endedAtMs < RELEASE_MS) return episode;
    const released: Episode = { ...episode, heldBy: null };
    this.#keepTurn(released, true);
    return released;
  }

  /** Open episodes of the same rule for which this one speaks. */
  #heldBy({ id, rule }: Episode): Episode[] {
    const held = [...this.#watched.values()].flatMap(({ episode }) => (episode?.heldBy === id ? episode : []));
    return held.filter((episode) => episode.rule === rule && isOpen(episode));
  }

  /** Journals a turn and tells it. Begins and ends must be told even if we are killed in between. */
  #keepTurn(episode: Episode, isBegin: boolean): void {
    const isNews = isTold(episode) && (isBegin || episode.state.kind === 'ended');
    const wasUnsaved = this.#unsaved.has(episode.id);
    const isKept = this.#keep(episode, isNews);
    // Where it could not be kept, it was told all the same.
    if (isTold(episode) && (isNews || !wasUnsaved)) this.#tell(episode);
    if (isNews && isKept) this.#journal.turnTold(episode.id);
  }

  /** False if the journal did not take it, and it is one to be told all the same. */
  #keep(episode: Episode, isNews: boolean): boolean {
    try {
      if (isNews) this.#journal.saveTurn(episode);
      else this.#journal.saveEpisode(episode);
      this.#unsaved.delete(episode.id);
      return true;
    } catch (error) {
      if (!this.#rules(episode.rule).isToldUnsaved) throw error;
      this.#unsaved.add(episode.id);
      return false;
    }
  }

  /** Marks open episodes of a target by whether anything new can be heard. Silence never ends one. */
  markUnverified(rule: RuleName, target: string, unverified: boolean): void {
    const episode = this.#watched.get(keyOf({ rule, target }))?.episode;
    if (episode == null || episode.unverified === unverified) return;
    if (episode.state.kind !== 'active' && episode.state.kind !== 'clearing') return;
    this.#replace({ ...episode, unverified });
  }

  /** Ends what watches something that is no longer there, or everything of a keg. */
  endFor(target: string, atMs: number): void {
    this.#endWhere((episode) => episode.target === target || episode.kegId === target, atMs, null);
  }

  /** Ends all episodes of a rule, as when it is switched off. */
  endRule(rule: RuleName, atMs: number, words: Pick<EpisodeWords, 'message' | 'advice'>): void {
    this.#endWhere((episode) => episode.rule === rule, atMs, words);
  }

  #endWhere(
    applies: (episode: Episode) => boolean,
    atMs: number,
    words: Pick<EpisodeWords, 'message' | 'advice'> | null,
  ): void {
    for (const [key, { memory, episode }] of [...this.#watched]) {
      if (episode === null || !applies(episode) || !isOpen(episode)) continue;
      if (episode.state.kind === 'building') {
        this.#watched.delete(key);
        this.#forget(episode.id);
        continue;
      }
      const { beganAtMs, lastSampleMs } = episode.state;
      const endedAtMs = Math.max(atMs, lastSampleMs);
      const state = { kind: 'ended', beganAtMs, lastSampleMs: endedAtMs, endedAtMs } as const;
      const ended: Episode = { ...episode, ...words, state };
      this.#watched.set(key, { memory: { ...memory, ...memoryOf(state) }, episode: null });
      this.#last.set(key, ended);
      this.#keepTurn(ended, false);
      this.#passOn(ended, applies);
    }
  }

  /** Of those for which an ended episode spoke, the first speaks now. */
  #passOn(ended: Episode, isEnding: (episode: Episode) => boolean): void {
    const [first, ...others] = this.#heldBy(ended).filter((episode) => !isEnding(episode));
    if (first === undefined) return;
    const speaker: Episode = { ...first, heldBy: null };
    this.#keepTurn(speaker, true);
    this.#put(speaker);
    for (const other of others) {
      const held: Episode = { ...other, heldBy: speaker.id };
      this.#journal.saveEpisode(held);
      this.#put(held);
    }
  }

  acknowledge(id: string, atMs: number): Episode | null {
    const episode = this.get(id);
    return episode === null ? null : this.#replace({ ...episode, acknowledgedAtMs: episode.acknowledgedAtMs ?? atMs });
  }

  /** Mutes until a time, or with null no longer. Evaluation goes on: its end is told as ever. */
  mute(id: string, untilMs: number | null, because: string | null = null): Episode | null {
    const episode = this.get(id);
    if (episode === null) return null;
    return this.#replace({ ...episode, mutedUntilMs: untilMs, mutedBecause: untilMs === null ? null : because });
  }

  get(id: string): Episode | null {
    for (const { episode } of this.#watched.values()) {
      if (episode?.id === id) return episode;
    }
    return this.#journal.episode(id);
  }

  /** Open episodes, oldest first; those still building included, those that another one speaks for not. */
  open(): Episode[] {
    const episodes = [...this.#watched.values()].flatMap(({ episode }) => episode ?? []);
    return episodes
      .filter((episode) => isOpen(episode) && episode.heldBy === null)
      .toSorted((a, b) => a.state.beganAtMs - b.state.beganAtMs);
  }

  /** Open episodes that somebody was told of. */
  told(): Episode[] {
    return this.open().filter(isTold);
  }

  /** The newest episodes, open or over, newest first. */
  recent(limit: number): Episode[] {
    return this.#journal.recentEpisodes(limit).map((episode) => this.get(episode.id) ?? episode);
  }

  #put(episode: Episode): void {
    const watched = this.#watched.get(keyOf(episode));
    if (watched?.episode?.id === episode.id) this.#watched.set(keyOf(episode), { ...watched, episode });
    else if (this.#last.get(keyOf(episode))?.id === episode.id) this.#last.set(keyOf(episode), episode);
  }

  #replace(episode: Episode): Episode {
    this.#journal.saveEpisode(episode);
    this.#put(episode);
    if (isTold(episode)) this.#tell(episode);
    return episode;
  }
}

function wordsOf({ measured, limit, unit, message, advice }: EpisodeWords): EpisodeWords {
  return { measured, limit, unit, message, advice };
}

function keyOf({ rule, target }: EpisodeKey): string {
  return `${rule}/${target}`;
}

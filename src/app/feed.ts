import type { Episode, KegState, LiveFrame } from '../contract/index.ts';

/** Receives every frame in order; `key` names what the frame replaces, so that a slow reader may skip older ones. */
export type FeedListener = (frame: LiveFrame, key: string) => void;

/** The newest state of everything, and its changes counted by revisions. */
export class Feed {
  #revision = 0;
  readonly #states = new Map<string, KegState>();
  readonly #listeners = new Set<FeedListener>();

  /** Keeps a keg's state; tells the listeners unless only ages have changed. True if it told them. */
  keg(state: KegState): boolean {
    const before = this.#states.get(state.kegId);
    this.#states.set(state.kegId, state);
    if (before !== undefined && substance(before) === substance(state)) return false;
    this.#publish({ type: 'keg', revision: this.#next(), state }, `keg/${state.kegId}`);
    return true;
  }

  kegGone(kegId: string): void {
    if (this.#states.delete(kegId)) {
      this.#publish({ type: 'keg-gone', revision: this.#next(), kegId }, `keg/${kegId}`);
    }
  }

  alert(episode: Episode): void {
    this.#publish({ type: 'alert', revision: this.#next(), episode }, `alert/${episode.id}`);
  }

  /** Tells that we are alive though nothing changed. */
  beat(at: string): void {
    this.#publish({ type: 'beat', revision: this.#revision, at }, 'beat');
  }

  state(kegId: string): KegState | null {
    return this.#states.get(kegId) ?? null;
  }

  states(): KegState[] {
    return [...this.#states.values()];
  }

  revision(): number {
    return this.#revision;
  }

  /** Adds a listener; the returned function removes it. */
  listen(listener: FeedListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  #next(): number {
    this.#revision += 1;
    return this.#revision;
  }

  #publish(frame: LiveFrame, key: string): void {
    for (const listener of this.#listeners) listener(frame, key);
  }
}

/** All of a state that is not merely the passing of time. */
function substance({ at: _at, inputs, ...state }: KegState): string {
  return JSON.stringify([state, inputs.map(({ ageMs: _age, ...input }) => input)]);
}

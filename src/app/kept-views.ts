import { coarseView, type KegView } from '../alerts/keg-view.ts';
import type { KegViewJournal } from '../ports/journal.ts';

/** A view is kept this often if it has changed, and at least so often (ms). */
const EVERY_MS = 15 * 60_000;
export const VIEW_EVERY_MS_MAX = 6 * 3600_000;
/** How long they are kept (ms): a month, and a day. */
const KEEP_MS = 31 * 24 * 3600_000;
const DROP_EVERY_MS = 24 * 3600_000;

/** Keeps how rules saw each keg, for trials of other settings. */
export class KeptViews {
  readonly #journal: KegViewJournal;
  readonly #last = new Map<string, { readonly atMs: number; readonly text: string }>();
  #droppedAtMs = Number.NEGATIVE_INFINITY;

  constructor(journal: KegViewJournal) {
    this.#journal = journal;
  }

  see(view: KegView): void {
    const last = this.#last.get(view.kegId);
    const sinceMs = last === undefined ? Number.POSITIVE_INFINITY : view.atMs - last.atMs;
    if (sinceMs < EVERY_MS) return;
    const coarse = coarseView(view);
    const text = JSON.stringify({ ...coarse, atMs: 0 });
    if (last?.text === text && sinceMs < VIEW_EVERY_MS_MAX) return;
    this.#journal.saveKegView(coarse);
    this.#last.set(view.kegId, { atMs: view.atMs, text });
    if (view.atMs - this.#droppedAtMs < DROP_EVERY_MS) return;
    this.#journal.dropKegViews(view.atMs - KEEP_MS);
    this.#droppedAtMs = view.atMs;
  }

  of(kegId: string, fromMs: number, toMs: number): KegView[] {
    return this.#journal.kegViews(kegId, fromMs, toMs);
  }
}

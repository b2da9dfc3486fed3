import { type ReadonlySignal, signal } from '@preact/signals';
import type { Fill, FilledBottle, FillSummary } from '../../src/contract/fill.ts';
import type { Answer, Method, Trouble } from './api.ts';
import {
  type Begin,
  type FillOp,
  gone,
  joined,
  type KeptFills,
  type LocalFill,
  type NewOp,
  NOTHING_KEPT,
  queued,
  refusedOp,
  requestOf,
  taken,
  toldFill,
} from './fill-queue.ts';

/** What a desk needs of the browser. */
export interface DeskTools {
  readonly ask: <T>(method: Method, path: string, body?: unknown) => Promise<Answer<T>>;
  /** What is kept on this device; throws where storage is forbidden or full. */
  readonly read: () => string | null;
  readonly write: (text: string) => void;
  readonly later: (delayMs: number, run: () => void) => () => void;
  readonly newId: () => string;
}

/** First and longest pause before what was not taken is sent again (ms). */
const RETRY_MS = 1_000;
const RETRY_MS_MAX = 15_000;
const SERVER_TROUBLE = 500;
/** Answers that say "not now" rather than "not this". */
const NOT_NOW = [401, 403, 408, 425, 429];

/**
 * Every tap is written to this device before anything else happens, then sent, one after the other. What the service did not
 * take is sent again until it does; a page that is loaded anew goes on with it.
 */
export class FillDesk {
  readonly #tools: DeskTools;
  readonly #kept = signal<KeptFills>(NOTHING_KEPT);
  /** False where this device keeps nothing: then taps live as long as the page. */
  readonly durable = signal(true);
  /** Why nothing goes out at the moment; null while it does. */
  readonly trouble = signal<Trouble | null>(null);
  #sending = false;
  /** Counts what was taken. */
  #turn = 0;
  #pauseMs = RETRY_MS;
  #stopRetry: () => void = () => undefined;

  constructor(tools: DeskTools) {
    this.#tools = tools;
    this.reload();
  }

  get kept(): ReadonlySignal<KeptFills> {
    return this.#kept;
  }

  /** Another page of this device may have changed what is kept. */
  reload(): void {
    const read = this.#read();
    if (read !== null) this.#kept.value = read;
  }

  /** Does something at a fill, here at once and for the service as soon as it is reached. */
  put(op: NewOp): void {
    this.#change((kept) => queued(kept, { ...op, opId: this.#tools.newId() }));
    void this.flush();
  }

  /** Keeps what a keg is like now that its fill begins. */
  note(fillId: string, begin: Begin): void {
    this.#change((kept) => ({ ...kept, begins: { ...kept.begins, [fillId]: begin } }));
  }

  tick(kegId: string, ticked: readonly string[]): void {
    this.#change((kept) => ({ ...kept, ticked: { ...kept.ticked, [kegId]: ticked } }));
  }

  /** Somebody has read what was refused. */
  forgetRefused(): void {
    this.#change((kept) => ({ ...kept, refused: [] }));
  }

  /** The fill that was ended is looked at no more. */
  forget(kegId: string): void {
    this.#change(({ told, begins, ticked, ...kept }) => ({
      ...kept,
      told: without(told, kegId),
      begins: without(begins, told[kegId]?.fillId ?? ''),
      ticked: without(ticked, kegId),
    }));
  }

  /** Asks what the service knows of a keg's fill; what is still on its way stays on top of it. */
  async follow(kegId: string): Promise<void> {
    await this.flush();
    const turn = this.#turn;
    const told = this.#kept.peek().told[kegId];
    const theirs =
      told === undefined || told.endedAt !== null ? await this.#openFill(kegId) : await this.#fill(told.fillId);
    // What was taken while we asked is not in the answer; it is asked again before long.
    if (theirs === null || turn !== this.#turn) return;
    this.#change((kept) => ({ ...kept, told: { ...kept.told, [kegId]: theirs } }));
  }

  /** Sends what waits, in order. */
  async flush(): Promise<void> {
    if (this.#sending) return;
    this.#sending = true;
    this.#stopRetry();
    try {
      for (let op = this.#kept.peek().ops[0]; op !== undefined; op = this.#kept.peek().ops[0]) {
        if (!(await this.#send(op))) return;
      }
    } finally {
      this.#sending = false;
    }
  }

  /** False if it must wait. */
  async #send(op: FillOp): Promise<boolean> {
    const { method, path, body } = requestOf(op);
    const answer = await this.#tools.ask<Fill | FilledBottle | null>(method, path, body);
    if (answer.ok) {
      this.trouble.value = null;
      this.#pauseMs = RETRY_MS;
      const told = op.kind === 'start' || op.kind === 'end' ? toldFill(answer.body as Fill) : null;
      this.#turn += 1;
      this.#change((kept) => taken(kept, op, told));
      return true;
    }
    const { trouble } = answer;
    const status = trouble.status ?? SERVER_TROUBLE;
    if (status >= SERVER_TROUBLE || NOT_NOW.includes(status)) return this.#waitAfter(trouble);
    return this.#settle(op, trouble);
  }

  #waitAfter(trouble: Trouble): false {
    this.trouble.value = trouble;
    this.#stopRetry = this.#tools.later(this.#pauseMs, () => void this.flush());
    this.#pauseMs = Math.min(RETRY_MS_MAX, this.#pauseMs * 2);
    return false;
  }

  /** What the service answered "no" to: joined to another fill, done already, or shown. */
  async #settle(op: FillOp, trouble: Trouble): Promise<boolean> {
    const is = (code: string) => trouble.type === `urn:quietkeg:problem:${code}`;
    if (op.kind === 'start' && is('fill-open')) {
      const theirs = await this.#openFill(op.kegId);
      if (theirs === null) return this.#waitAfter(trouble);
      this.#change((kept) => joined(kept, op.fillId, theirs));
      return true;
    }
    const isOfBottle = op.kind === 'bottle' || op.kind === 'remove';
    const isGone = isOfBottle && (is('bottle-removed') || (op.kind === 'remove' && is('bottle-unknown')));
    this.#change((kept) => (isGone ? gone(kept, op, op.bottleId) : refusedOp(kept, op, trouble.detail)));
    return true;
  }

  async #openFill(kegId: string): Promise<LocalFill | null> {
    const query = new URLSearchParams({ kegId, open: 'true' });
    const answer = await this.#tools.ask<{ fills: FillSummary[] }>('GET', `/fills?${query.toString()}`);
    const open = answer.ok ? answer.body.fills[0] : undefined;
    return open === undefined ? null : this.#fill(open.fillId);
  }

  async #fill(fillId: string): Promise<LocalFill | null> {
    const answer = await this.#tools.ask<Fill>('GET', `/fills/${encodeURIComponent(fillId)}`);
    return answer.ok ? toldFill(answer.body) : null;
  }

  /** Reads what is kept, changes it, and writes it: two pages of one device do not undo each other. */
  #change(change: (kept: KeptFills) => KeptFills): void {
    const next = change(this.#read() ?? this.#kept.peek());
    this.#kept.value = next;
    try {
      this.#tools.write(JSON.stringify(next));
      this.durable.value = true;
    } catch {
      this.durable.value = false;
    }
  }

  /** Null where nothing is kept, or nothing that can be read: then what this page remembers counts. */
  #read(): KeptFills | null {
    if (!this.durable.peek()) return null;
    try {
      const text = this.#tools.read();
      return text === null ? null : { ...NOTHING_KEPT, ...(JSON.parse(text) as Partial<KeptFills>) };
    } catch {
      return null;
    }
  }
}

function without<T>(record: Readonly<Record<string, T>>, key: string): Readonly<Record<string, T>> {
  return Object.fromEntries(Object.entries(record).filter(([name]) => name !== key));
}

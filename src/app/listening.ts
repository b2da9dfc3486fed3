import type { HeardTopic, ListeningJournal, RejectedMessage } from '../ports/journal.ts';
import type { SpoolRecord } from '../ports/spool.ts';

/** First bytes of a payload that are shown. */
const SAMPLE_CHARACTERS = 120;
/** What waits between two ticks is bounded; the counter still counts every one. */
const WAITING_MAX = 200;

/** Remembers what was heard but could not be used, and hands it to the journal once a tick. */
export class Listening {
  readonly #journal: ListeningJournal;
  #rejectedCount: number;
  #rejected: RejectedMessage[] = [];
  readonly #heard = new Map<string, HeardTopic>();
  readonly #listeners: ((topic: string, reasons: readonly string[]) => void)[] = [];

  constructor(journal: ListeningJournal) {
    this.#journal = journal;
    this.#rejectedCount = journal.rejectedCount();
  }

  /** Calls `listener` with what is refused. */
  onReject(listener: (topic: string, reasons: readonly string[]) => void): void {
    this.#listeners.push(listener);
  }

  reject(record: SpoolRecord, reasons: readonly string[], unassigned: boolean): void {
    const sample = payloadSample(record.payload);
    const { topic, receivedAtMs: atMs } = record;
    this.#rejectedCount += reasons.length;
    for (const listener of this.#listeners) listener(topic, reasons);
    for (const reason of reasons) {
      if (this.#rejected.length < WAITING_MAX) this.#rejected.push({ topic, atMs, reason, sample });
    }
    if (unassigned && (this.#heard.has(topic) || this.#heard.size < WAITING_MAX)) {
      this.#remember(topic, sample, atMs);
    }
  }

  /** A message that is no reading, whose newest is wanted after a restart. */
  note(topic: string, payload: Uint8Array, atMs: number): void {
    this.#remember(topic, payloadSample(payload), atMs);
  }

  #remember(topic: string, sample: string, atMs: number): void {
    const messages = (this.#heard.get(topic)?.messages ?? 0) + 1;
    this.#heard.set(topic, { topic, sample, lastHeardAtMs: atMs, messages });
  }

  /** A value that was understood, but that the store will never take. */
  refuse(topic: string, atMs: number, reason: string, value: string): void {
    this.#rejectedCount += 1;
    if (this.#rejected.length < WAITING_MAX) this.#rejected.push({ topic, atMs, reason, sample: value });
  }

  /** Values that came in and were refused, since the first start. */
  rejectedCount(): number {
    return this.#rejectedCount;
  }

  rejected(): RejectedMessage[] {
    this.flush();
    return this.#journal.rejected();
  }

  heardTopics(): HeardTopic[] {
    this.flush();
    return this.#journal.heardTopics();
  }

  flush(): void {
    if (this.#rejected.length === 0 && this.#heard.size === 0) return;
    this.#journal.saveListening([...this.#heard.values()], this.#rejected, this.#rejectedCount);
    this.#rejected = [];
    this.#heard.clear();
  }
}

/** The first characters of a payload, for eyes: what is not text is shown as bytes. */
function payloadSample(payload: Uint8Array): string {
  const bytes = payload.subarray(0, SAMPLE_CHARACTERS);
  const text = new TextDecoder('utf-8').decode(bytes);
  const readable = !/[\p{Cc}\ufffd]/u.test(text);
  const shown = readable
    ? text
    : `bytes ${[...bytes.subarray(0, 40)].map((b) => b.toString(16).padStart(2, '0')).join(' ')}`;
  return payload.byteLength > bytes.byteLength ? `${shown}…` : shown;
}

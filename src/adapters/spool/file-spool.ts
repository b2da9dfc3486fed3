import { type FileHandle, mkdir, open, readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Spool, SpoolGroup, SpoolPosition, SpoolRecord } from '../../ports/spool.ts';
import { encodeRecord, readRecords } from './record.ts';

const SEGMENT_BYTES = 8 << 20;
/** Larger than any record. */
const READ_BYTES = 4 << 20;
/** At most this much waits for a sync; what comes on top is refused, so a slow disk is felt by the senders. */
const WAITING_BYTES_MAX = 64 << 20;
/** What a look whether the disk takes bytes again writes: more than any message that is likely to come next. */
const TRIAL_BYTES = 64 << 10;
export const CHECKPOINT_FILE = 'checkpoint.json';

export const isSegmentName = (name: string): boolean => /^\d{10}\.log$/.test(name);

interface Waiting {
  readonly record: SpoolRecord;
  readonly bytes: Buffer;
  readonly done: (error: Error | null) => void;
}

/** Append-only files of checksummed records, one sync for all messages that came in meanwhile (group commit). */
export class FileSpool implements Spool {
  readonly #folder: string;
  readonly #onDamage: (message: string) => void;
  /** Where damage was met, so that it is told of once. */
  readonly #damageTold = new Set<string>();
  #onGroup: (group: SpoolGroup) => void = () => undefined;
  #file: FileHandle | null = null;
  #end: SpoolPosition = { segment: 1, offset: 0 };
  #checkpoint: SpoolPosition = { segment: 1, offset: 0 };
  #waiting: Waiting[] = [];
  #waitingBytes = 0;
  #committing: Promise<void> | null = null;
  #trouble: string | null = null;
  /** Something may stand behind `#end` that was not committed. */
  #isTorn = false;
  #closed = false;

  /** @param onDamage hears, in words, of bytes that are no record where one was written */
  constructor(folder: string, onDamage: (message: string) => void = () => undefined) {
    this.#folder = folder;
    this.#onDamage = onDamage;
  }

  async open(onGroup: (group: SpoolGroup) => void): Promise<void> {
    this.#onGroup = onGroup;
    await mkdir(this.#folder, { recursive: true });
    const segments = await this.#segments();
    const last = segments.at(-1) ?? 1;
    this.#checkpoint = await this.#readCheckpoint(segments[0] ?? 1);
    this.#end = { segment: last, offset: await this.#mend(last) };
    if (isBefore(this.#end, this.#checkpoint)) this.#checkpoint = this.#end;
    this.#file = await open(this.#path(last), 'a');
    await this.#syncFolder();
  }

  append(record: SpoolRecord, done: (error: Error | null) => void): void {
    let bytes: Buffer;
    try {
      bytes = encodeRecord(record);
    } catch (error) {
      done(error as Error);
      return;
    }
    if (this.#closed || this.#waitingBytes + bytes.length > WAITING_BYTES_MAX) {
      done(new Error(this.#closed ? 'the spool is closed' : 'the spool is full: the disk is slower than the messages'));
      return;
    }
    this.#waitingBytes += bytes.length;
    this.#waiting.push({ record, bytes, done });
    this.#committing ??= this.#commitAll();
  }

  async #commitAll(): Promise<void> {
    // Let everything that arrived in this turn of the event loop into the same sync.
    await new Promise(setImmediate);
    try {
      while (this.#waiting.length > 0) {
        const group = this.#waiting;
        this.#waiting = [];
        this.#waitingBytes = 0;
        await this.#commit(group);
      }
    } finally {
      // In the same step as the last look for more: what is appended after it must start a commit of its own.
      this.#committing = null;
    }
  }

  async #commit(group: readonly Waiting[]): Promise<void> {
    try {
      if (this.#end.offset > SEGMENT_BYTES) await this.#nextSegment();
      const bytes = Buffer.concat(group.map((waiting) => waiting.bytes));
      const file = this.#file;
      if (file === null) throw new Error('the spool is not open');
      await this.#dropTornEnd(file);
      this.#isTorn = true;
      await file.appendFile(bytes);
      await file.datasync();
      this.#isTorn = false;
      this.#end = { segment: this.#end.segment, offset: this.#end.offset + bytes.length };
      this.#trouble = null;
    } catch (error) {
      this.#trouble = `cannot write to ${this.#folder}: ${(error as Error).message}`;
      // If that fails as well, it is tried again before the next write.
      if (this.#file !== null) await this.#dropTornEnd(this.#file).catch(() => undefined);
      for (const waiting of group) waiting.done(error as Error);
      return;
    }
    try {
      this.#onGroup({ records: group.map((waiting) => waiting.record), end: this.#end });
    } finally {
      // Whoever trips over a message: it is kept, and will be read again.
      for (const waiting of group) waiting.done(null);
    }
  }

  async retry(): Promise<void> {
    if (this.#trouble === null || this.#committing !== null || this.#closed) return;
    this.#committing = this.#tryDisk().finally(() => {
      this.#committing = this.#waiting.length > 0 ? this.#commitAll() : null;
    });
    await this.#committing;
  }

  /** Writes something behind the last record and takes it away again. */
  async #tryDisk(): Promise<void> {
    let file = this.#file;
    if (file === null) return;
    try {
      await this.#dropTornEnd(file);
      if (this.#end.offset > SEGMENT_BYTES) await this.#nextSegment();
      file = this.#file ?? file;
      this.#isTorn = true;
      await file.appendFile(Buffer.alloc(TRIAL_BYTES));
      await file.datasync();
      await this.#dropTornEnd(file);
      this.#trouble = null;
    } catch {
      await this.#dropTornEnd(file).catch(() => undefined);
    }
  }

  /** After a failed write the file may end in half a record; later ones must not follow it. */
  async #dropTornEnd(file: FileHandle): Promise<void> {
    if (!this.#isTorn) return;
    await file.truncate(this.#end.offset);
    this.#isTorn = false;
  }

  async #nextSegment(): Promise<void> {
    const segment = this.#end.segment + 1;
    const file = await open(this.#path(segment), 'a');
    await this.#file?.close();
    this.#file = file;
    this.#end = { segment, offset: 0 };
    await this.#syncFolder();
  }

  /** A file is only safe when its name is: that stands in the folder, which is synced by itself. */
  async #syncFolder(): Promise<void> {
    const folder = await open(this.#folder, 'r');
    try {
      await folder.sync();
    } finally {
      await folder.close();
    }
  }

  async read(from: SpoolPosition, limit: number): Promise<SpoolGroup> {
    const records: SpoolRecord[] = [];
    let at = from;
    for (;;) {
      const end = this.#end;
      const isLast = at.segment >= end.segment;
      const found = await this.#readSegment(at, isLast ? end.offset : Number.POSITIVE_INFINITY, limit - records.length);
      records.push(...found.records);
      if (records.length >= limit) return { records, end: { segment: at.segment, offset: found.offset } };
      if (isLast) return { records, end };
      at = { segment: at.segment + 1, offset: 0 };
    }
  }

  /** Records of one segment between two offsets, at most `limit`, and the offset behind the last one. */
  async #readSegment(
    from: SpoolPosition,
    until: number,
    limit: number,
  ): Promise<{ records: SpoolRecord[]; offset: number }> {
    const records: SpoolRecord[] = [];
    let { offset } = from;
    const file = await open(this.#path(from.segment), 'r').catch(() => null);
    if (file === null) return { records, offset };
    try {
      const size = Math.min(until, (await file.stat()).size);
      while (offset < size && records.length < limit) {
        const bytes = Buffer.allocUnsafe(Math.min(READ_BYTES, size - offset));
        const { bytesRead } = await file.read(bytes, 0, bytes.length, offset);
        const toEnd = offset + bytesRead >= size;
        const found = readRecords(bytes.subarray(0, bytesRead), 0, limit - records.length, toEnd);
        records.push(...found.records);
        this.#tellDamage(from.segment, offset, found.damagedBytes);
        // A chunk without a whole record is damage throughout: records are far smaller than chunks.
        offset += found.offset > 0 ? found.offset : bytesRead;
        if (toEnd && records.length < limit) break;
      }
      return { records, offset };
    } finally {
      await file.close();
    }
  }

  #tellDamage(segment: number, offset: number, bytes: number): void {
    const place = `${segment}:${offset}`;
    if (bytes === 0 || this.#damageTold.has(place)) return;
    this.#damageTold.add(place);
    this.#onDamage(
      `${bytes} bytes in ${this.#path(segment)} are damaged: the messages in them are lost, the others are not`,
    );
  }

  end(): SpoolPosition {
    return this.#end;
  }

  checkpoint(): SpoolPosition {
    return this.#checkpoint;
  }

  async saveCheckpoint(position: SpoolPosition): Promise<void> {
    const path = join(this.#folder, CHECKPOINT_FILE);
    // Not synced: an older checkpoint after a power cut only repeats appends, and those are idempotent.
    await writeFile(`${path}.new`, JSON.stringify(position));
    await rename(`${path}.new`, path);
    const movedOn = position.segment > this.#checkpoint.segment;
    this.#checkpoint = position;
    if (!movedOn) return;
    for (const segment of await this.#segments()) {
      if (segment < position.segment) await rm(this.#path(segment), { force: true });
    }
  }

  trouble(): string | null {
    return this.#trouble;
  }

  async close(): Promise<void> {
    this.#closed = true;
    await this.#committing;
    await this.#file?.close();
    this.#file = null;
  }

  #path(segment: number): string {
    return join(this.#folder, `${String(segment).padStart(10, '0')}.log`);
  }

  async #segments(): Promise<number[]> {
    const names = (await readdir(this.#folder)).filter(isSegmentName);
    return names.map((name) => Number.parseInt(name, 10)).sort((a, b) => a - b);
  }

  async #readCheckpoint(firstSegment: number): Promise<SpoolPosition> {
    const start = { segment: firstSegment, offset: 0 };
    try {
      const { segment, offset } = JSON.parse(await readFile(join(this.#folder, CHECKPOINT_FILE), 'utf8'));
      const saved = { segment: Number(segment), offset: Number(offset) };
      return Number.isInteger(saved.segment) && Number.isInteger(saved.offset) && isBefore(start, saved)
        ? saved
        : start;
    } catch {
      return start;
    }
  }

  /** Cuts half a record off the end of a segment, as a power cut leaves it; returns where the whole records end. */
  async #mend(segment: number): Promise<number> {
    const path = this.#path(segment);
    const size = await stat(path).then(
      (found) => found.size,
      () => 0,
    );
    if (size === 0) return 0;
    const bytes = await readFile(path);
    const { offset: whole } = readRecords(bytes, 0, Number.POSITIVE_INFINITY, true);
    if (whole < size) {
      this.#onDamage(`${size - whole} bytes at the end of ${path} were cut off: a write that had not ended, or damage`);
      const file = await open(path, 'r+');
      await file.truncate(whole);
      await file.datasync();
      await file.close();
    }
    return whole;
  }
}

function isBefore(a: SpoolPosition, b: SpoolPosition): boolean {
  return a.segment < b.segment || (a.segment === b.segment && a.offset < b.offset);
}

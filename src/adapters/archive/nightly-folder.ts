import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, readdirSync, rmSync, statSync } from 'node:fs';
import { constants, setPriority } from 'node:os';
import { join } from 'node:path';
import type { BackupOutcome, Backups } from '../../ports/backups.ts';

export const NIGHTLY_PREFIX = 'nightly';
const NAME = /^nightly-(\d{4}-\d\d-\d\d)T(\d\d)(\d\d)(\d\d)Z\.tar\.gz$/;
/** Left of a backup that was broken off. A younger one may be at work. */
const LEFT_OVER = /^\.making-backup-/;
const LEFT_OVER_AFTER_MS = 6 * 3600_000;
const WORDS_BYTES_MAX = 64 << 10;

export interface NightlyFolderOptions {
  readonly folder: () => string;
  /** What to run, such as the program with its command and settings. */
  readonly command: () => readonly string[];
  readonly environment: Readonly<Record<string, string | undefined>>;
  readonly nowMs: () => number;
}

/**
 * Nightly backups in a folder. Each is made by a process of its own, with a lower claim on the processor: copying a
 * database blocks whoever does it, and the memory is given back when it ends.
 */
export class NightlyFolder implements Backups {
  readonly #options: NightlyFolderOptions;
  #child: ChildProcess | null = null;

  constructor(options: NightlyFolderOptions) {
    this.#options = options;
  }

  list(): { name: string; atMs: number }[] {
    const folder = this.#options.folder();
    if (!existsSync(folder)) return [];
    return readdirSync(folder).flatMap((name) => {
      const [, day, hour, minute, second] = NAME.exec(name) ?? [];
      const atMs = Date.parse(`${day}T${hour}:${minute}:${second}Z`);
      return Number.isFinite(atMs) ? { name, atMs } : [];
    });
  }

  remove(name: string): void {
    if (NAME.test(name)) rmSync(join(this.#options.folder(), name));
  }

  async make(): Promise<BackupOutcome> {
    try {
      this.#tidy();
      const before = new Set(this.list().map(({ name }) => name));
      const { code, words } = await this.#run();
      if (code !== 0) return { ok: false, trouble: words === '' ? `the backup ended with code ${code}` : words };
      const made = this.list().find(({ name }) => !before.has(name));
      if (made === undefined) return { ok: false, trouble: 'the backup ended well and left no file' };
      const { size } = statSync(join(this.#options.folder(), made.name));
      return { ok: true, name: made.name, bytes: size };
    } catch (error) {
      return { ok: false, trouble: (error as Error).message };
    }
  }

  stop(): void {
    this.#child?.kill('SIGKILL');
  }

  #tidy(): void {
    const folder = this.#options.folder();
    if (!existsSync(folder)) return;
    for (const name of readdirSync(folder).filter((found) => LEFT_OVER.test(found))) {
      const path = join(folder, name);
      if (this.#options.nowMs() - statSync(path).mtimeMs > LEFT_OVER_AFTER_MS)
        rmSync(path, { recursive: true, force: true });
    }
  }

  #run(): Promise<{ code: number | null; words: string }> {
    const { command, environment } = this.#options;
    const [program = '', ...args] = command();
    return new Promise((resolve, reject) => {
      const child = spawn(program, args, { env: environment, stdio: ['ignore', 'ignore', 'pipe'] });
      this.#child = child;
      let words = '';
      child.stderr.on('data', (bytes: Buffer) => {
        if (words.length < WORDS_BYTES_MAX) words += bytes.toString('utf8');
      });
      child.once('spawn', () => lowerPriority(child.pid));
      child.once('error', reject);
      child.once('close', (code) => {
        this.#child = null;
        resolve({ code, words: words.trim() });
      });
    });
  }
}

function lowerPriority(pid: number | undefined): void {
  try {
    if (pid !== undefined) setPriority(pid, constants.priority.PRIORITY_BELOW_NORMAL);
  } catch {
    // It may have ended already; and it works with any priority.
  }
}

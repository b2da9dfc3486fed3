import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';

/** Another process holds the folder. */
export class FolderHeldError extends Error {
  override readonly name = 'FolderHeldError';
}

/** SQLite's code for a file that somebody else has locked. @source https://www.sqlite.org/rescode.html#busy */
const SQLITE_BUSY = 5;

const NOTE = 'running.json';

/**
 * Holds a folder for one process. The lock is the operating system's on an open file, so it ends with the process however
 * that ends. Throws `FolderHeldError` if another process holds it.
 */
export function lockFolder(folder: string): () => void {
  const database = new DatabaseSync(join(folder, 'lock.sqlite'));
  try {
    database.exec('pragma busy_timeout = 0; pragma locking_mode = exclusive; begin exclusive');
  } catch (error) {
    database.close();
    if ((error as { errcode?: unknown }).errcode !== SQLITE_BUSY) throw error;
    throw new FolderHeldError(`another service uses the folder ${folder}; stop it, or choose another with --data`, {
      cause: error,
    });
  }
  // Whatever an earlier holder noted is not true any more.
  rmSync(join(folder, NOTE), { force: true });
  return () => {
    rmSync(join(folder, NOTE), { force: true });
    database.close();
  };
}

/** Notes in a held folder where its holder can be asked and what lets one in, for commands that find it held. */
export function noteAddress(folder: string, address: string, key: string): void {
  writeFileSync(join(folder, NOTE), `${JSON.stringify({ address, key })}\n`, { mode: 0o600 });
}

/** Where the holder of a folder can be asked; null if it did not say. */
export function notedAddress(folder: string): { readonly address: string; readonly key: string } | null {
  try {
    const { address, key } = JSON.parse(readFileSync(join(folder, NOTE), 'utf8'));
    return typeof address === 'string' && URL.canParse(address) ? { address, key: String(key) } : null;
  } catch {
    return null;
  }
}

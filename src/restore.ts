/** Puts a backup into a data folder: all of it, or nothing. */
import { existsSync, mkdirSync, readdirSync, renameSync, rmdirSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { readArchive, synced } from './adapters/archive/backup-archive.ts';
import { lockFolder } from './adapters/sqlite/folder-lock.ts';
import { checkDatabases } from './backup.ts';
import { BACKUPS, CATALOGUE, keptNames, needRoom, RESTORING, SPOOL } from './data-folder.ts';
import { StartError } from './start-error.ts';

export interface RestoreWish {
  readonly file: string;
  readonly data: string;
  /** True: what is in the folder is put aside. Otherwise the folder must be empty. */
  readonly replace: boolean;
  readonly nowMs: number;
}

export interface Restored {
  readonly data: string;
  readonly madeAt: string;
  readonly files: number;
  readonly without: readonly string[];
  /** Where what was there before is now; null if nothing was. */
  readonly putAside: string | null;
}

/**
 * Throws `StartError` if the folder is in use or not empty, `ArchiveError` if the backup cannot be trusted; either way the
 * folder is as before. Broken off while the files move in, it leaves `RESTORING`, before which the service refuses to start.
 */
export async function restoreBackup({ file, data, replace, nowMs }: RestoreWish): Promise<Restored> {
  const folder = resolve(data);
  if (!existsSync(file)) throw new StartError(`there is no file ${file}`);
  if (keptNames(folder).length > 0 && !replace)
    throw new StartError(
      `${folder} is not empty; choose another folder with --data, or say --replace to put aside what is there`,
    );
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const unlock = lockFolder(folder);
  try {
    const partial = join(folder, RESTORING);
    const wasBroken = existsSync(partial);
    rmSync(partial, { recursive: true, force: true });
    mkdirSync(partial, { mode: 0o700 });
    try {
      const manifest = await readArchive(file, partial, ({ files }) => {
        const bytes = files.reduce((total, one) => total + one.bytes, 0);
        needRoom(folder, bytes, 'the restored folder');
      });
      checkDatabases(partial, manifest.files);
      if (!manifest.files.some(({ name }) => name === CATALOGUE))
        throw new StartError(`${file} holds no catalogue, so it is no backup of a data folder`);
      if (existsSync(join(partial, SPOOL))) await synced(join(partial, SPOOL));
      await synced(partial);
      const putAside = await moveIn(folder, partial, nowMs);
      const { madeAt, files, without } = manifest;
      return { data: folder, madeAt, files: files.length, without, putAside };
    } catch (error) {
      // Of an earlier restore that was broken off the folder is not whole, and stays marked so.
      if (!wasBroken) rmSync(partial, { recursive: true, force: true });
      throw error;
    }
  } finally {
    unlock();
  }
}

/** The backups of a folder stay where they are: they are what a restore is made from. */
async function moveIn(folder: string, partial: string, nowMs: number): Promise<string | null> {
  const old = keptNames(folder).filter(
    (name) => name !== RESTORING && name !== BACKUPS && !name.startsWith('before-restore-'),
  );
  const aside = join(folder, `before-restore-${new Date(nowMs).toISOString().slice(0, 19).replaceAll(':', '')}Z`);
  if (old.length > 0) mkdirSync(aside, { mode: 0o700 });
  for (const name of old) renameSync(join(folder, name), join(aside, name));
  // The catalogue last: without it the folder is nobody's.
  const fresh = readdirSync(partial).toSorted((a, b) => Number(a === CATALOGUE) - Number(b === CATALOGUE));
  for (const name of fresh) renameSync(join(partial, name), join(folder, name));
  await synced(folder);
  rmdirSync(partial);
  await synced(folder);
  return old.length > 0 ? aside : null;
}

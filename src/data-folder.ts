/** What lies in a data folder: which of it belongs into a backup, and what stands in the way of a restore. */
import { existsSync, lstatSync, mkdirSync, readdirSync, statfsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { isArchiveName } from './adapters/archive/tar.ts';
import { StartError } from './start-error.ts';

/** A restore unpacks into this folder; while it is there, the data folder is not whole. */
export const RESTORING = 'restoring.partial';
export const BACKUPS = 'backups';
export const CATALOGUE = 'catalogue.sqlite';
export const READINGS = 'readings.sqlite';
export const SPOOL = 'spool';

/** Of the process that holds the folder, not of what is kept. */
const OF_THE_HOLDER = /^(?:lock\.sqlite(?:-.*)?|running\.json|lost\+found)$/;
/** SQLite's own files beside a database: a copy has them inside. */
const BESIDE_A_DATABASE = /-(?:wal|shm|journal)$/;

/** Makes a folder and those above it, one by one: Node's own recursive way never ends where a file system makes none. */
export function makeFolder(path: string): void {
  if (existsSync(path)) return;
  const above = dirname(path);
  if (above !== path) makeFolder(above);
  mkdirSync(path);
}

/** Everything kept in a folder, without what only belongs to the process that holds it. */
export function keptNames(folder: string): string[] {
  return existsSync(folder) ? readdirSync(folder).filter((name) => !OF_THE_HOLDER.test(name)) : [];
}

/** Plain files that belong into a backup. Readings come last: see `copySpool`. */
export function filesToKeep(folder: string): string[] {
  const isFile = (name: string) => lstatSync(join(folder, name)).isFile();
  const rank = (name: string) => [CATALOGUE, READINGS].indexOf(name);
  return keptNames(folder)
    .filter((name) => isArchiveName(name) && !BESIDE_A_DATABASE.test(name) && isFile(name))
    .toSorted((a, b) => rank(a) - rank(b) || (a < b ? -1 : 1));
}

/** Bytes of everything that a backup takes from a folder, SQLite's side files included. */
export function bytesToKeep(folder: string): number {
  const sizeOf = (path: string) => {
    const found = lstatSync(path, { throwIfNoEntry: false });
    return found?.isFile() ? found.size : 0;
  };
  const spool = join(folder, SPOOL);
  const inSpool = existsSync(spool) ? readdirSync(spool).map((name) => join(spool, name)) : [];
  return [...keptNames(folder).map((name) => join(folder, name)), ...inSpool].reduce(
    (total, path) => total + sizeOf(path),
    0,
  );
}

/** Throws `StartError` unless the disk of a folder has so much room. */
export function needRoom(folder: string, bytes: number, what: string): void {
  const { bavail, bsize } = statfsSync(folder);
  const free = bavail * bsize;
  if (free >= bytes) return;
  throw new StartError(
    `${what} needs ${megabytes(bytes)} MB in ${folder} and ${megabytes(free)} MB are free; make room, or choose a folder on another disk`,
  );
}

const megabytes = (bytes: number): number => Math.ceil(bytes / 1e6);

/** Throws `StartError` for a folder in which a restore was broken off: what is there does not belong together. */
export function refuseHalfRestored(folder: string): void {
  if (!existsSync(join(folder, RESTORING))) return;
  throw new StartError(
    `a restore into ${folder} was broken off, so what is there is not whole; run quietkeg restore FILE --data ${folder} --replace again`,
  );
}

/** Makes a backup of a data folder, while the service runs or without it, and tries it out before it is called good. */
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, renameSync, rmSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { describeFile, readArchive, synced, writeArchive } from './adapters/archive/backup-archive.ts';
import type { Manifest } from './adapters/archive/manifest.ts';
import { ArchiveError } from './adapters/archive/tar.ts';
import { copySpool } from './adapters/spool/spool-copy.ts';
import { copyDatabase, databaseTrouble, layoutOf } from './adapters/sqlite/database-copy.ts';
import { openCatalogueFile } from './adapters/sqlite/sqlite-catalogue.ts';
import { SqliteReadingStore } from './adapters/sqlite/sqlite-reading-store.ts';
import {
  bytesToKeep,
  CATALOGUE,
  filesToKeep,
  makeFolder,
  needRoom,
  READINGS,
  refuseHalfRestored,
  SPOOL,
} from './data-folder.ts';
import { StartError } from './start-error.ts';

export interface BackupWish {
  readonly data: string;
  /** A new file, or a folder that gets a file named after the moment. */
  readonly target: string;
  readonly version: string;
  /** Readings that are kept elsewhere are not in the backup, which then says so. */
  readonly influx: boolean;
  readonly nowMs: number;
  readonly prefix?: string;
}

export interface BackupMade {
  readonly file: string;
  readonly bytes: number;
  readonly files: number;
  /** What belongs to the service and is not in it, in words. */
  readonly without: readonly string[];
}

/** Copies, the archive and the trial lie on the disk at once, at most in two thirds of this. */
const ROOM_FACTOR = 3;

const WITHOUT_INFLUX =
  'The readings are in InfluxDB and not in this backup: save them there, with influxd backup -portable -database NAME FOLDER. ' +
  'Messages that InfluxDB had not taken yet are in this backup.';

/** Throws `StartError` where nothing can be backed up, or the backup did not stand the trial. Nothing half made is left. */
export async function makeBackup(wish: BackupWish): Promise<BackupMade> {
  const { data, version, influx, nowMs } = wish;
  if (!existsSync(join(data, CATALOGUE)))
    throw new StartError(`nothing is kept in ${data}; name the folder of the service with --data`);
  refuseHalfRestored(data);
  const file = backupFile(wish);
  makeFolder(dirname(file));
  needRoom(dirname(file), ROOM_FACTOR * bytesToKeep(data), 'a backup');
  const work = mkdtempSync(join(dirname(file), '.making-backup-'));
  try {
    const copy = join(work, 'copy');
    const names = await copyFolder(data, copy);
    const files = [];
    for (const name of names) files.push(await describeFile(copy, name));
    const without = influx ? [WITHOUT_INFLUX] : [];
    const archive = join(work, 'archive');
    await writeArchive(copy, { madeBy: version, madeAt: new Date(nowMs).toISOString(), without, files }, archive);
    rmSync(copy, { recursive: true });
    await tryOut(archive, join(work, 'trial'));
    renameSync(archive, file);
    await synced(dirname(file));
    return { file, bytes: statSync(file).size, files: files.length, without };
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}

function backupFile({ target, nowMs, prefix = 'quietkeg' }: BackupWish): string {
  const isFolder = statSync(target, { throwIfNoEntry: false })?.isDirectory() ?? false;
  const moment = new Date(nowMs).toISOString().slice(0, 19).replaceAll(':', '');
  const file = resolve(isFolder ? join(target, `${prefix}-${moment}Z.tar.gz`) : target);
  if (existsSync(file)) throw new StartError(`${file} exists already; a backup overwrites nothing`);
  return file;
}

/** Copies everything kept, in an order in which nothing can fall between two parts; gives the names. */
async function copyFolder(data: string, copy: string): Promise<string[]> {
  mkdirSync(copy, { mode: 0o700 });
  const spooled = await copySpool(join(data, SPOOL), join(copy, SPOOL));
  const plain = filesToKeep(data);
  for (const name of plain) {
    if (name.endsWith('.sqlite')) copyDatabase(join(data, name), join(copy, name));
    else copyFileSync(join(data, name), join(copy, name));
  }
  return [...plain, ...spooled.map((name) => `${SPOOL}/${name}`)];
}

/** Restores into a folder of its own, looks through every database, and opens them as the service would. */
async function tryOut(archive: string, folder: string): Promise<void> {
  mkdirSync(folder, { mode: 0o700 });
  try {
    const { files } = await readArchive(archive, folder);
    checkDatabases(folder, files);
    openCatalogueFile(join(folder, CATALOGUE)).close();
    const readings = join(folder, READINGS);
    if (!existsSync(readings)) return;
    const store = new SqliteReadingStore({ path: readings });
    await store.open();
    await store.extents();
    await store.close();
  } catch (error) {
    const { message } = error as Error;
    throw new StartError(`the backup did not stand its trial and was thrown away: ${message}`, { cause: error });
  }
}

/** Throws `ArchiveError` if a database is damaged, or of a newer version than this. */
export function checkDatabases(folder: string, files: Manifest['files']): void {
  for (const { name } of files.filter((file) => file.name.endsWith('.sqlite'))) {
    const path = join(folder, name);
    const trouble = databaseTrouble(path);
    if (trouble !== null) throw new ArchiveError(`${basename(name)} is damaged: ${trouble}`);
    const layout = layoutOf(name, path);
    if (layout !== null && layout.made > layout.known)
      throw new ArchiveError(
        `${name} was written by a newer version (schema ${layout.made}, this one knows ${layout.known}); update the program, then restore`,
      );
  }
}

/** What commands beside the service need: catalogue and readings of a data folder, without broker, spool and pages. */
import { accessSync, constants, existsSync, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { randomIds } from './adapters/clock/random-ids.ts';
import { systemClock } from './adapters/clock/system-clock.ts';
import { FolderHeldError, notedAddress } from './adapters/sqlite/folder-lock.ts';
import { SqliteCatalogue } from './adapters/sqlite/sqlite-catalogue.ts';
import { SqliteEstimateStore } from './adapters/sqlite/sqlite-estimate-store.ts';
import { KegExport } from './app/keg-export.ts';
import { KegImport } from './app/keg-import.ts';
import { Register } from './app/register.ts';
import { claimFolder, openCatalogue, readingStore, StartError } from './compose.ts';
import { fillImport, fillShelf } from './compose-fills.ts';
import type { Settings } from './config/schema.ts';

export interface ExportDesk {
  readonly kegExport: KegExport;
  close(): Promise<void>;
}

export interface ImportDesk {
  readonly kegImport: KegImport;
  close(): Promise<void>;
}

export const nowMs = (): number => systemClock.nowMs();

/** What only the machine can tell of settings: each trouble in a line that says what to do. */
export function settingTroubles(settings: Settings): string[] {
  const { data, backup, http, mqtt } = settings;
  const troubles = [data, ...(backup.folder === null ? [] : [backup.folder])].flatMap((folder) =>
    folderTrouble(folder),
  );
  const sameHost = mqtt.url === null && http.host === mqtt.host && http.port === mqtt.port && http.port !== 0;
  if (sameHost) troubles.push(`http.port and mqtt.port are both ${http.port}; give one of them another`);
  return troubles;
}

/** A folder need not be there, but then it must be possible to make it. */
function folderTrouble(folder: string): string[] {
  let there = resolve(folder);
  while (!existsSync(there)) there = dirname(there);
  try {
    if (!statSync(there).isDirectory()) return [`${folder}: ${there} is a file; choose another folder`];
    accessSync(there, constants.R_OK | constants.W_OK | constants.X_OK);
    return [];
  } catch (error) {
    return [
      `${folder} cannot be written by this user (${(error as NodeJS.ErrnoException).code}); choose another folder`,
    ];
  }
}

/**
 * Opens a data folder for reading, beside a running service or without. Throws `StartError` if nothing is kept there, or
 * the reading store cannot be reached.
 */
export async function openForExport(settings: Settings): Promise<ExportDesk> {
  if (!existsSync(join(settings.data, 'catalogue.sqlite')))
    throw new StartError(`nothing is kept in ${settings.data}; name the folder of the service with --data`);
  const { database, register, store, close } = await openKept(settings);
  return { kegExport: new KegExport(register, store, fillShelf(database)), close };
}

/**
 * Opens a data folder for an import and holds it meanwhile. If the service holds it, gives the address where it can be
 * asked to do it: two writers would get in each other's way, and the service would know nothing of what is new.
 */
export async function openForImport(
  settings: Settings,
): Promise<ImportDesk | { readonly runningAt: { readonly address: string; readonly key: string } }> {
  let release: () => void;
  try {
    release = claimFolder(settings.data);
  } catch (error) {
    const isHeld = error instanceof StartError && error.cause instanceof FolderHeldError;
    const runningAt = isHeld ? notedAddress(settings.data) : null;
    if (runningAt !== null) return { runningAt };
    if (!isHeld) throw error;
    throw new StartError(
      `the folder ${settings.data} is held by a service that is starting or stopping, or by another import; try again when it is done`,
      { cause: error },
    );
  }
  try {
    const { database, register, store, close } = await openKept(settings);
    const shelf = new SqliteEstimateStore(join(settings.data, 'estimates.sqlite'));
    const kegImport = new KegImport({
      register,
      store,
      fills: fillImport({ database, register, nowMs }),
      nowMs,
      newId: randomIds,
      // On the disk first: the service must not go on from an estimate that does not know these readings.
      beforeStoring: (oldestMs) => {
        for (const [batchId, atMs] of shelf.times()) if (atMs > oldestMs) shelf.removeBase(batchId);
      },
      accept: () => undefined,
    });
    return {
      kegImport,
      close: async () => {
        await close();
        await shelf.close();
        release();
      },
    };
  } catch (error) {
    release();
    throw error;
  }
}

async function openKept(settings: Settings) {
  const database = openCatalogue(settings.data);
  try {
    const register = new Register(new SqliteCatalogue(database), settings.altitudeM);
    const store = readingStore(settings);
    await store.open().catch((cause: Error) => {
      throw new StartError(`the readings cannot be opened: ${cause.message}`, { cause });
    });
    const close = async () => {
      await store.close();
      database.close();
    };
    return { database, register, store, close };
  } catch (error) {
    database.close();
    throw error;
  }
}

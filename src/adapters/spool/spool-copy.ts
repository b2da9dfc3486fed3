import { copyFile, mkdir, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { CHECKPOINT_FILE, isSegmentName } from './file-spool.ts';

/**
 * Copies a spool that may be written meanwhile; gives the names of what was copied. The checkpoint goes first: whatever
 * lies before it is in the store already, whatever lies behind it is in segments that are copied after it. A segment that
 * goes in the meantime was stored; half a record at the end is mended when the copy is opened. So copy the store last.
 */
export async function copySpool(from: string, to: string): Promise<string[]> {
  const names = await readdir(from).catch(ifMissing<string[]>([]));
  if (names.length === 0) return [];
  await mkdir(to, { recursive: true });
  const copied: string[] = [];
  for (const name of [CHECKPOINT_FILE, ...names.filter(isSegmentName).toSorted()]) {
    const wasThere = await copyFile(join(from, name), join(to, name)).then(() => true, ifMissing(false));
    if (wasThere) copied.push(name);
  }
  return copied;
}

function ifMissing<T>(instead: T): (error: NodeJS.ErrnoException) => T {
  return (error) => {
    if (error.code === 'ENOENT') return instead;
    throw error;
  };
}

import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';

/**
 * Holds a folder for one process. The lock is the operating system's on an open file, so it ends with the process however
 * that ends. Throws if another process holds it.
 */
export function lockFolder(folder: string): () => void {
  const database = new DatabaseSync(join(folder, 'lock.sqlite'));
  try {
    database.exec('pragma busy_timeout = 0; pragma locking_mode = exclusive; begin exclusive');
  } catch (error) {
    database.close();
    throw new Error(`another service uses the folder ${folder}; stop it, or choose another with --data`, {
      cause: error,
    });
  }
  return () => database.close();
}

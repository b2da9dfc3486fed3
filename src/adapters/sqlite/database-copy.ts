import { DatabaseSync } from 'node:sqlite';
import { CATALOGUE_STEPS } from './catalogue-schema.ts';
import { numberOf, READING_STEPS } from './reading-schema.ts';

/** Files of a data folder whose layout has steps, and how many this version knows. Others need no step, or are begun anew. */
const KNOWN_STEPS: ReadonlyMap<string, number> = new Map([
  ['catalogue.sqlite', CATALOGUE_STEPS],
  ['readings.sqlite', READING_STEPS],
]);

/**
 * Writes what a database holds at this moment into a new file; others may read and write it meanwhile. SQLite's own
 * online copy would begin anew at each write of another process, and so never end beside a busy service.
 * @source https://www.sqlite.org/lang_vacuum.html#vacuuminto
 */
export function copyDatabase(from: string, to: string): void {
  const database = new DatabaseSync(from, { readOnly: true });
  try {
    database.exec('pragma busy_timeout = 10000');
    database.prepare('vacuum into ?').run(to);
  } finally {
    database.close();
  }
}

/** What is wrong with a database as a whole, or null. Reads all of it. */
export function databaseTrouble(path: string): string | null {
  const database = new DatabaseSync(path, { readOnly: true });
  try {
    const answers = database.prepare('pragma integrity_check(3)').all();
    const told = answers.map((row) => String(row.integrity_check));
    return told.length === 1 && told[0] === 'ok' ? null : told.join('; ');
  } catch (error) {
    return (error as Error).message;
  } finally {
    database.close();
  }
}

/** How the layout of a data folder's file compares with ours: steps made, steps known. Null where layouts have no steps. */
export function layoutOf(name: string, path: string): { readonly made: number; readonly known: number } | null {
  const known = KNOWN_STEPS.get(name);
  if (known === undefined) return null;
  const database = new DatabaseSync(path, { readOnly: true });
  try {
    return { made: numberOf(database, 'user_version'), known };
  } finally {
    database.close();
  }
}

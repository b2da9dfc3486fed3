import type { DatabaseSync } from 'node:sqlite';

/** Runs writes as one: all of them are kept, or none. Within another transaction they are part of that one. */
export function inTransaction<T>(database: DatabaseSync, write: () => T): T {
  if (database.isTransaction) return write();
  database.exec('begin immediate');
  try {
    const result = write();
    database.exec('commit');
    return result;
  } catch (error) {
    database.exec('rollback');
    throw error;
  }
}

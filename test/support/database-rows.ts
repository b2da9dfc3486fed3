import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';

/** Every row of every table of a folder's databases, as text. */
export function rowsOf(folder: string): Record<string, unknown[]> {
  const databases = readdirSync(folder).filter((name) => name.endsWith('.sqlite') && name !== 'lock.sqlite');
  return Object.fromEntries(
    databases.toSorted().flatMap((name) => {
      const database = new DatabaseSync(join(folder, name), { readOnly: true });
      const tables = database.prepare(`select name from sqlite_schema where type = 'table' order by name`).all();
      const rows = tables.map((row) => {
        const found = database.prepare(`select * from "${String(row.name)}"`).all();
        return [`${name} ${String(row.name)}`, found.map((one) => JSON.stringify(one)).toSorted()];
      });
      database.close();
      return rows;
    }),
  );
}

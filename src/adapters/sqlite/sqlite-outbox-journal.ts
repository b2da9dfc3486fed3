import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { OutboxJournal, Shelf } from '../../ports/outbox-journal.ts';
import { inTransaction } from './transaction.ts';

/** What delivery must not forget, in the catalogue's file: one row a thing, read once at the start and written through. */
export class SqliteOutboxJournal implements OutboxJournal {
  readonly #database: DatabaseSync;
  readonly #put: StatementSync;
  readonly #remove: StatementSync;
  readonly channels = this.#shelf<OutboxJournal['channels']>('channel');
  readonly people = this.#shelf<OutboxJournal['people']>('person');
  readonly subscriptions = this.#shelf<OutboxJournal['subscriptions']>('subscription');
  readonly matters = this.#shelf<OutboxJournal['matters']>('matter');
  readonly threads = this.#shelf<OutboxJournal['threads']>('thread');
  readonly lanes = this.#shelf<OutboxJournal['lanes']>('lane');
  readonly spent = this.#shelf<OutboxJournal['spent']>('spent');
  readonly keys = this.#shelf<OutboxJournal['keys']>('key');

  constructor(database: DatabaseSync) {
    this.#database = database;
    this.#put = database.prepare(
      'insert into delivery values (?, ?, ?) on conflict (shelf, id) do update set body = excluded.body',
    );
    this.#remove = database.prepare('delete from delivery where shelf = ? and id = ?');
  }

  #shelf<S extends Shelf<unknown>>(name: string): Shelf<S extends Shelf<infer T> ? T : never> {
    type Value = S extends Shelf<infer T> ? T : never;
    return {
      all: () => {
        const rows = this.#database.prepare('select id, body from delivery where shelf = ? order by rowid').all(name);
        // Written by `put` alone, from values of this type.
        return new Map(rows.map(({ id, body }) => [String(id), JSON.parse(String(body)) as Value]));
      },
      put: (id, value) => void this.#put.run(name, id, JSON.stringify(value)),
      remove: (id) => void this.#remove.run(name, id),
    };
  }

  together<T>(write: () => T): T {
    return inTransaction(this.#database, write);
  }
}

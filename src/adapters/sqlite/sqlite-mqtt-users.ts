import type { DatabaseSync, StatementSync } from 'node:sqlite';
import type { MqttUser, MqttUsers } from '../../ports/mqtt-users.ts';

type Row = Readonly<Record<string, unknown>>;

/** Users of the embedded broker, in the catalogue's file. */
export class SqliteMqttUsers implements MqttUsers {
  readonly #all: StatementSync;
  readonly #one: StatementSync;
  readonly #put: StatementSync;
  readonly #remove: StatementSync;

  constructor(database: DatabaseSync) {
    this.#all = database.prepare('select * from mqtt_user order by name');
    this.#one = database.prepare('select * from mqtt_user where name = ?');
    this.#put = database.prepare('insert or replace into mqtt_user values (?, ?, ?, ?)');
    this.#remove = database.prepare('delete from mqtt_user where name = ?');
  }

  all(): readonly MqttUser[] {
    return this.#all.all().map(userOf);
  }

  user(name: string): MqttUser | null {
    const row = this.#one.get(name);
    return row === undefined ? null : userOf(row);
  }

  put({ name, hash, publish, subscribe }: MqttUser): void {
    this.#put.run(name, hash, publish.join('\n'), subscribe.join('\n'));
  }

  remove(name: string): boolean {
    return this.#remove.run(name).changes === 1;
  }
}

function userOf(row: Row): MqttUser {
  const lines = (value: unknown) =>
    String(value)
      .split('\n')
      .filter((line) => line !== '');
  return {
    name: String(row.name),
    hash: String(row.hash),
    publish: lines(row.publish),
    subscribe: lines(row.subscribe),
  };
}

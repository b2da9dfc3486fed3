import type { DatabaseSync, StatementSync } from 'node:sqlite';
import { ROLES, type Role } from '../../domain/access/role.ts';
import type { Invitation, Session, SessionKind } from '../../domain/access/session.ts';
import type { AccessStore } from '../../ports/access-store.ts';

type Row = Readonly<Record<string, unknown>>;
const KINDS: readonly SessionKind[] = ['log-in', 'device', 'program'];

/** Passphrases and sessions in the catalogue's file. Everything is read when it is asked for: other processes write it too. */
export class SqliteAccessStore implements AccessStore {
  readonly #database: DatabaseSync;
  readonly #statements = new Map<string, StatementSync>();

  constructor(database: DatabaseSync) {
    this.#database = database;
  }

  passphrases(): ReadonlyMap<Role, string> {
    return new Map(this.#all('select role, hash from passphrase').map((row) => [roleOf(row.role), String(row.hash)]));
  }

  claim(hash: string): boolean {
    return this.#run(`insert or ignore into passphrase values ('owner', ?)`, hash) === 1;
  }

  putPassphrase(role: Role, hash: string): void {
    this.#run('insert into passphrase values (?, ?) on conflict (role) do update set hash = excluded.hash', role, hash);
  }

  removePassphrase(role: Role): void {
    this.#run('delete from passphrase where role = ?', role);
  }

  sessions(): readonly Session[] {
    return this.#all('select * from session order by seen_at_ms desc, rowid desc').map(sessionOf);
  }

  session(tokenDigest: string): Session | null {
    const [row] = this.#all('select * from session where token_digest = ?', tokenDigest);
    return row === undefined ? null : sessionOf(row);
  }

  putSession({ sessionId, tokenDigest, role, kind, name, createdAtMs, seenAtMs }: Session): void {
    this.#run(
      'insert into session values (?, ?, ?, ?, ?, ?, ?)',
      sessionId,
      tokenDigest,
      role,
      kind,
      name,
      createdAtMs,
      seenAtMs,
    );
  }

  noteSeen(sessionId: string, seenAtMs: number): void {
    this.#run('update session set seen_at_ms = ? where session_id = ?', seenAtMs, sessionId);
  }

  removeSession(sessionId: string): boolean {
    return this.#run('delete from session where session_id = ?', sessionId) === 1;
  }

  removeSessionsOf(role: Role | null): void {
    if (role !== null) {
      this.#run('delete from session where role = ?', role);
      return;
    }
    this.#run('delete from session');
    this.#run('delete from invitation');
  }

  invitations(): readonly Invitation[] {
    return this.#all('select * from invitation order by created_at_ms').map(invitationOf);
  }

  putInvitation({ tokenDigest, name, createdAtMs }: Invitation): void {
    this.#run('insert into invitation values (?, ?, ?)', tokenDigest, name, createdAtMs);
  }

  takeInvitation(tokenDigest: string): Invitation | null {
    const [row] = this.#all('delete from invitation where token_digest = ? returning *', tokenDigest);
    return row === undefined ? null : invitationOf(row);
  }

  #all(sql: string, ...values: readonly string[]): Row[] {
    return this.#statement(sql).all(...values);
  }

  #run(sql: string, ...values: readonly (string | number)[]): number {
    return Number(this.#statement(sql).run(...values).changes);
  }

  #statement(sql: string): StatementSync {
    const known = this.#statements.get(sql);
    if (known !== undefined) return known;
    const made = this.#database.prepare(sql);
    this.#statements.set(sql, made);
    return made;
  }
}

/** A word that a newer version wrote counts as the least there is. */
function roleOf(value: unknown): Role {
  return ROLES.find((role) => role === value) ?? 'viewer';
}

function sessionOf(row: Row): Session {
  return {
    sessionId: String(row.session_id),
    tokenDigest: String(row.token_digest),
    role: roleOf(row.role),
    kind: KINDS.find((kind) => kind === row.kind) ?? 'log-in',
    name: String(row.name),
    createdAtMs: Number(row.created_at_ms),
    seenAtMs: Number(row.seen_at_ms),
  };
}

function invitationOf(row: Row): Invitation {
  return { tokenDigest: String(row.token_digest), name: String(row.name), createdAtMs: Number(row.created_at_ms) };
}

import type * as contract from '../contract/index.ts';
import { normalised, passphraseFault } from '../domain/access/passphrase.ts';
import { mayDo as isRoleEnough, ROLES, type Role } from '../domain/access/role.ts';
import {
  endsAtMs,
  INVITATION_MS,
  isOver,
  SEEN_STEP_MS,
  type Session,
  type SessionKind,
} from '../domain/access/session.ts';
import { addressKind } from '../domain/delivery/address.ts';
import type { AccessStore } from '../ports/access-store.ts';
import type { Clock } from '../ports/clock.ts';
import type { NewId } from '../ports/ids.ts';
import type { Log } from '../ports/log.ts';
import type { Secrets } from '../ports/secrets.ts';
import { Attempts } from './attempts.ts';
import { done, type Outcome, type Refusal, refuse } from './outcome.ts';
import { instant } from './present.ts';

/** Sessions kept at once; beyond it the log-in that was unused longest ends. */
const SESSIONS_MAX = 200;
const INVITATIONS_MAX = 20;

export interface AccessOptions {
  readonly store: AccessStore;
  readonly secrets: Secrets;
  readonly clock: Clock;
  readonly log: Log;
  readonly newId: NewId;
  /** Something else keeps strangers out, so until a passphrase is set everybody may do everything. */
  readonly trustNetwork: boolean;
  /** What somebody elsewhere needs to set the first passphrase; null: nobody elsewhere can. */
  readonly claimToken: string | null;
  /** Lets programs in that can read our folder. */
  readonly localKey: string;
}

/** Who asks, before anything is known of them. */
export interface Visitor {
  /** Where from, for limits and the log. */
  readonly address: string;
  /** On the machine itself, and nobody passed it on. */
  readonly isLocal: boolean;
  /** Token of the cookie, and of the header `Authorization`. */
  readonly cookie: string | null;
  readonly bearer: string | null;
}

/** Somebody who is in. */
export interface Caller {
  readonly role: Role;
  /** Null: no log-in was needed. */
  readonly session: Session | null;
}

/** A new session with the token that its holder alone gets. */
export interface Entered {
  readonly token: string;
  readonly session: Session;
}

/** Whether a role is enough where another is needed. */
export function mayDo(role: Role, needed: Role): boolean {
  return isRoleEnough(role, needed);
}

/** Whether a connection from this address comes from the machine itself. */
export function isThisMachine(address: string): boolean {
  return addressKind(address) === 'loopback';
}

/** The door: who is in, and how one comes in. */
export class Access {
  readonly #options: AccessOptions;
  readonly #attempts: Attempts;
  #claimToken: string | null;
  #claiming = false;

  constructor(options: AccessOptions) {
    this.#options = options;
    this.#attempts = new Attempts(options.clock);
    this.#claimToken = options.claimToken;
  }

  isClaimed(): boolean {
    return this.#options.store.passphrases().has('owner');
  }

  /** Null if they are not in. Everything is read anew, so what was ended elsewhere is ended here. */
  identify({ cookie, bearer, isLocal }: Visitor): Caller | null {
    const { secrets, localKey, trustNetwork } = this.#options;
    if (bearer !== null && secrets.isSame(bearer, localKey)) return { role: 'owner', session: null };
    if (!this.isClaimed()) return isLocal || trustNetwork ? { role: 'owner', session: null } : null;
    const key = bearer === null ? null : this.#session(bearer);
    const session = key?.kind === 'program' ? key : cookie === null ? null : this.#session(cookie);
    // A program's key is no cookie: what a browser keeps must have come by a log-in.
    if (session === null || (session.kind === 'program' && session !== key)) return null;
    return { role: session.role, session };
  }

  /** Whether somebody who came in earlier is still in, for connections that stay open. */
  isStillIn(caller: Caller): boolean {
    const { session } = caller;
    if (session === null) return !this.isClaimed();
    const now = this.#options.store.session(session.tokenDigest);
    return now !== null && !isOver(now, this.#options.clock.nowMs());
  }

  present(caller: Caller | null, visitor: Visitor): contract.Access {
    const passphrases = this.#options.store.passphrases();
    const claimed = passphrases.has('owner');
    return {
      claimed,
      accounts: ROLES.filter((role) => passphrases.has(role)).toReversed(),
      claimNeedsToken: !claimed && !visitor.isLocal && !this.#options.trustNetwork,
      you: caller === null ? null : { role: caller.role, sessionId: caller.session?.sessionId ?? null },
    };
  }

  /** Sets the first passphrase. Of many at once, one wins. */
  async claim(visitor: Visitor, passphrase: string, token: string | null, name: string): Promise<Outcome<Entered>> {
    const { store, secrets, log } = this.#options;
    if (this.isClaimed()) return alreadyClaimed;
    const attempt = this.#attempts.begin(visitor.address, 'claim');
    if (!attempt.ok) return attempt;
    if (!this.#mayClaim(visitor, token)) {
      log.warn('a wrong token was given for setting the first passphrase', { address: visitor.address });
      return refuse('token-wrong', 'token: is not the one that the service printed when it started; look there again');
    }
    attempt.succeeded();
    const fault = passphraseFault(passphrase);
    if (fault !== null) return refuse('body-invalid', `passphrase: ${fault}`);
    if (this.#claiming) return alreadyClaimed;
    this.#claiming = true;
    try {
      const hash = await secrets.hash(normalised(passphrase));
      if (!store.claim(hash)) return alreadyClaimed;
      this.#claimToken = null;
      log.info('the first passphrase was set', { address: visitor.address });
      return done(this.#enter('owner', 'log-in', name));
    } finally {
      this.#claiming = false;
    }
  }

  async logIn(visitor: Visitor, account: Role, passphrase: string, name: string): Promise<Outcome<Entered>> {
    const checked = await this.#check(visitor, account, passphrase);
    if (!checked.ok) return checked;
    // Whatever the browser brought along is no part of the new session, and ends.
    if (visitor.cookie !== null) this.logOut(visitor.cookie);
    this.#options.log.info('logged in', { account, address: visitor.address });
    return done(this.#enter(account, 'log-in', name));
  }

  logOut(token: string): void {
    const session = this.#options.store.session(this.#options.secrets.digest(token));
    if (session !== null && session.kind !== 'program') this.#options.store.removeSession(session.sessionId);
  }

  /** Sets or changes the passphrase of a role, on the owner's word. Whoever came in by it is out; the owner's ends everybody. */
  async putPassphrase(visitor: Visitor, role: Role, passphrase: string, yours: string, name: string) {
    const { store, secrets, log } = this.#options;
    const fault = passphraseFault(passphrase);
    if (fault !== null) return refuse('body-invalid', `passphrase: ${fault}`);
    const checked = await this.#check(visitor, 'owner', yours);
    if (!checked.ok)
      return checked.code === 'passphrase-wrong' ? refuse(checked.code, `yours: ${checked.detail}`) : checked;
    const hash = await secrets.hash(normalised(passphrase));
    store.putPassphrase(role, hash);
    store.removeSessionsOf(role === 'owner' ? null : role);
    log.info('a passphrase was changed', { account: role, address: visitor.address });
    return done(role === 'owner' ? this.#enter('owner', 'log-in', name) : null);
  }

  removePassphrase(role: Exclude<Role, 'owner'>): void {
    this.#options.store.removePassphrase(role);
    this.#options.store.removeSessionsOf(role);
  }

  sessions(caller: Caller): contract.SessionList {
    const { store, clock } = this.#options;
    const nowMs = clock.nowMs();
    const sessions = store.sessions().filter((session) => !isOver(session, nowMs));
    return {
      sessions: sessions.map((session) => {
        const { sessionId, role, kind, name, createdAtMs, seenAtMs } = session;
        const ends = endsAtMs(session);
        return {
          sessionId,
          role,
          kind,
          name,
          createdAt: instant(createdAtMs),
          seenAt: instant(seenAtMs),
          endsAt: ends === null ? null : instant(ends),
          yours: caller.session?.sessionId === sessionId,
        };
      }),
      invitations: this.#openInvitations().map(({ name, createdAtMs }) => ({
        name,
        createdAt: instant(createdAtMs),
        endsAt: instant(createdAtMs + INVITATION_MS),
      })),
    };
  }

  revoke(sessionId: string): Outcome<null> {
    return this.#options.store.removeSession(sessionId)
      ? done(null)
      : refuse('session-unknown', `There is no session ${sessionId}; it may have ended already.`);
  }

  /** The token of a link that lets one tablet in to look. */
  invite(name: string): Outcome<string> {
    const { store, secrets, clock } = this.#options;
    if (!this.isClaimed())
      return refuse('log-in-needed', 'Set a passphrase first: until then only this machine may come in.');
    for (const { tokenDigest, createdAtMs } of store.invitations())
      if (clock.nowMs() - createdAtMs > INVITATION_MS) store.takeInvitation(tokenDigest);
    const [oldest] = store.invitations();
    if (store.invitations().length >= INVITATIONS_MAX && oldest !== undefined) store.takeInvitation(oldest.tokenDigest);
    const token = secrets.newToken();
    store.putInvitation({ tokenDigest: secrets.digest(token), name, createdAtMs: clock.nowMs() });
    return done(token);
  }

  enterDevice(visitor: Visitor, token: string): Outcome<Entered> {
    const { store, secrets, clock, log } = this.#options;
    const attempt = this.#attempts.begin(visitor.address, 'device');
    if (!attempt.ok) return attempt;
    const invitation = store.takeInvitation(secrets.digest(token));
    if (invitation === null || clock.nowMs() - invitation.createdAtMs > INVITATION_MS)
      return refuse(
        'token-wrong',
        'This link was used already, or is older than a day. Let the owner make another one.',
      );
    attempt.succeeded();
    if (visitor.cookie !== null) this.logOut(visitor.cookie);
    log.info('a tablet was let in by its link', { name: invitation.name, address: visitor.address });
    return done(this.#enter('viewer', 'device', invitation.name));
  }

  addProgram(name: string, role: Exclude<Role, 'owner'>): Outcome<Entered> {
    if (!this.isClaimed())
      return refuse('log-in-needed', 'Set a passphrase first: until then programs on this machine need no key.');
    return done(this.#enter(role, 'program', name));
  }

  #mayClaim({ isLocal }: Visitor, token: string | null): boolean {
    if (isLocal || this.#options.trustNetwork) return true;
    return token !== null && this.#claimToken !== null && this.#options.secrets.isSame(token, this.#claimToken);
  }

  async #check(visitor: Visitor, account: Role, passphrase: string): Promise<{ readonly ok: true } | Refusal> {
    const { store, secrets, log } = this.#options;
    const attempt = this.#attempts.begin(visitor.address, account);
    if (!attempt.ok) return attempt;
    if (secrets.isBusy()) {
      const detail = 'Many are logging in just now. Try again in a few seconds.';
      return { ...refuse('too-many-tries', detail), retryAfterS: 5 };
    }
    const hash = store.passphrases().get(account);
    const isRight = hash !== undefined && (await secrets.verify(normalised(passphrase), hash));
    // Meanwhile it may have been changed: then this one is no longer right.
    if (!isRight || store.passphrases().get(account) !== hash) {
      log.warn('a wrong passphrase was given', { account, address: visitor.address });
      return refuse('passphrase-wrong', 'This is not the passphrase. After a few tries you have to wait between them.');
    }
    attempt.succeeded();
    return { ok: true };
  }

  #enter(role: Role, kind: SessionKind, name: string): Entered {
    const { store, secrets, clock, newId } = this.#options;
    const nowMs = clock.nowMs();
    const known = store.sessions();
    const unused = known.findLast(({ kind: other }) => other === 'log-in') ?? known.at(-1);
    if (known.length >= SESSIONS_MAX && unused !== undefined) store.removeSession(unused.sessionId);
    const token = secrets.newToken();
    const session: Session = {
      sessionId: newId(),
      tokenDigest: secrets.digest(token),
      role,
      kind,
      name: name.slice(0, 120),
      createdAtMs: nowMs,
      seenAtMs: nowMs,
    };
    store.putSession(session);
    return { token, session };
  }

  #session(token: string): Session | null {
    const { store, secrets, clock } = this.#options;
    const session = store.session(secrets.digest(token));
    const nowMs = clock.nowMs();
    if (session === null || isOver(session, nowMs)) return null;
    if (nowMs - session.seenAtMs > SEEN_STEP_MS) store.noteSeen(session.sessionId, nowMs);
    return session;
  }

  #openInvitations() {
    const nowMs = this.#options.clock.nowMs();
    return this.#options.store.invitations().filter(({ createdAtMs }) => nowMs - createdAtMs <= INVITATION_MS);
  }
}

const alreadyClaimed = refuse('already-claimed', 'A passphrase was set already. Log in with it.');

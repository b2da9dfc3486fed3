import type { Role } from '../domain/access/role.ts';
import type { Invitation, Session } from '../domain/access/session.ts';

/**
 * Who may come in. Durable when a method returns. Other processes (the command line) write here too, so nothing read from it
 * may be kept for long.
 */
export interface AccessStore {
  /** Hashes of the passphrases that are set. */
  passphrases(): ReadonlyMap<Role, string>;
  /** Sets the owner's passphrase if there is none; false if somebody was first. */
  claim(hash: string): boolean;
  putPassphrase(role: Role, hash: string): void;
  removePassphrase(role: Role): void;
  sessions(): readonly Session[];
  session(tokenDigest: string): Session | null;
  putSession(session: Session): void;
  noteSeen(sessionId: string, seenAtMs: number): void;
  /** False if there was none. */
  removeSession(sessionId: string): boolean;
  /** Ends all sessions of a role; null ends those of all, and takes back every invitation. */
  removeSessionsOf(role: Role | null): void;
  invitations(): readonly Invitation[];
  putInvitation(invitation: Invitation): void;
  /** Takes an invitation away; null if there was none. Only one of many takers gets it. */
  takeInvitation(tokenDigest: string): Invitation | null;
}

import { type Episode, isOpen, isTold } from '../alerts/episode.ts';
import type { Clock } from '../ports/clock.ts';
import type { Log } from '../ports/log.ts';
import type { OutboxJournal } from '../ports/outbox-journal.ts';
import type { Secrets } from '../ports/secrets.ts';
import type { AlertDesk } from './alert-desk.ts';

/** How long a link can be used (ms). */
export const LINK_MS_MAX = 7 * 24 * 3600_000;
/** Where the key stands among our own. */
const SHELF_ID = 'acknowledge';
/** Signed as well, so that no signature of ours for anything else is ever a link. */
const PURPOSE = 'quietkeg acknowledge 1';
const TOKEN = /^([A-Za-z0-9_-]{1,800})\.([A-Za-z0-9_-]{43})$/;

export interface AcknowledgeLinksOptions {
  readonly keys: OutboxJournal['keys'];
  readonly people: { has(personId: string): boolean };
  readonly desk: () => Pick<AlertDesk, 'get' | 'acknowledge'>;
  readonly secrets: Pick<Secrets, 'newToken' | 'sign' | 'isSame'>;
  readonly clock: Pick<Clock, 'nowMs'>;
  readonly log: Log;
  /** Address of the dashboard as people reach it, without a slash at its end; null: unknown, and there are no links. */
  readonly base: string | null;
}

/** What a link is good for at this moment. `usable` alone can acknowledge. */
export type LinkState =
  | { readonly kind: 'usable' | 'acknowledged' | 'over'; readonly episode: Episode }
  | { readonly kind: 'expired' | 'renewed' | 'unknown' };

interface Claim {
  readonly personId: string;
  readonly episodeId: string;
  readonly expiresAtMs: number;
}

/**
 * Links that acknowledge one episode for one person without a log-in. Nothing is kept of them but the key that signs them
 * (HMAC-SHA-256): a new key ends all that are out.
 */
export class AcknowledgeLinks {
  readonly #options: AcknowledgeLinksOptions;

  constructor(options: AcknowledgeLinksOptions) {
    this.#options = options;
  }

  /** Null where nobody said how the dashboard is reached. */
  linkFor(episodeId: string, personId: string): string | null {
    const { base, clock } = this.#options;
    if (base === null) return null;
    return `${base}/acknowledge/${this.#token({ episodeId, personId, expiresAtMs: clock.nowMs() + LINK_MS_MAX })}`;
  }

  /** Changes nothing: mail scanners follow links. */
  look(token: string): LinkState {
    const claim = this.#claimOf(token);
    return typeof claim === 'string' ? { kind: claim } : this.#stateOf(claim);
  }

  /** Acknowledges if the link is usable; what it was good for before. */
  use(token: string): LinkState {
    const claim = this.#claimOf(token);
    if (typeof claim === 'string') return { kind: claim };
    const state = this.#stateOf(claim);
    if (state.kind === 'usable') {
      const { desk, clock, log } = this.#options;
      desk().acknowledge(claim.episodeId, clock.nowMs());
      log.info('an alert was acknowledged by its link', { person: claim.personId, alert: claim.episodeId });
    }
    return state;
  }

  /** Ends every link that is out. */
  renew(): void {
    this.#newKey();
    this.#options.log.info('the links that acknowledge alerts were renewed', {});
  }

  #stateOf({ episodeId, personId, expiresAtMs }: Claim): LinkState {
    const { people, desk, clock } = this.#options;
    if (expiresAtMs <= clock.nowMs()) return { kind: 'expired' };
    const episode = desk().get(episodeId);
    // A person who was removed decides nothing any more.
    if (episode === null || !isTold(episode) || !people.has(personId)) return { kind: 'unknown' };
    if (!isOpen(episode)) return { kind: 'over', episode };
    return { kind: episode.acknowledgedAtMs === null ? 'usable' : 'acknowledged', episode };
  }

  /** What a token says, if we signed it; nothing of one that we did not sign is believed. */
  #claimOf(token: string): Claim | 'unknown' | 'renewed' {
    const [, body, signature] = TOKEN.exec(token) ?? [];
    if (body === undefined || signature === undefined) return 'unknown';
    const [keyName, personId, expiry, episodeId] = Buffer.from(body, 'base64url').toString().split('\n');
    const key = this.#options.keys.all().get(SHELF_ID);
    if (key !== undefined && this.#options.secrets.isSame(this.#signature(key, body), signature)) {
      const expiresAtMs = Number.parseInt(expiry ?? '', 36);
      if (personId === undefined || episodeId === undefined || !Number.isFinite(expiresAtMs)) return 'unknown';
      return { personId, episodeId, expiresAtMs };
    }
    // Not believed, only told in other words: whoever made the name up learns nothing from it.
    return keyName !== undefined && /^[\w-]{8}$/.test(keyName) && keyName !== key?.publicKey ? 'renewed' : 'unknown';
  }

  #token({ personId, episodeId, expiresAtMs }: Claim): string {
    const key = this.#options.keys.all().get(SHELF_ID) ?? this.#newKey();
    const claim = [key.publicKey, personId, expiresAtMs.toString(36), episodeId].join('\n');
    const body = Buffer.from(claim).toString('base64url');
    return `${body}.${this.#signature(key, body)}`;
  }

  #signature({ privateKey }: Key, body: string): string {
    return this.#options.secrets.sign(privateKey, `${PURPOSE}\n${body}`);
  }

  /** `publicKey` is its name alone, so that a link of an older key is known as one. */
  #newKey(): Key {
    const { keys, secrets } = this.#options;
    const made = { publicKey: secrets.newToken().slice(0, 8), privateKey: secrets.newToken() };
    keys.put(SHELF_ID, made);
    return made;
  }
}

interface Key {
  readonly publicKey: string;
  readonly privateKey: string;
}

/** Remotes repeat what they were sent; a link in their answer must not be shown to others. */
export function withoutLinks(text: string): string {
  return text.replace(/(\/acknowledge\/)[\w-]+(\.[\w-]*)?/g, '$1…');
}

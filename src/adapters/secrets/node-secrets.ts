import { argon2, createHash, createHmac, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';
import { promisify } from 'node:util';
import type { Secrets } from '../../ports/secrets.ts';

/** @source OWASP Password Storage Cheat Sheet (from memory): Argon2id with 19 MiB, 2 passes, 1 lane */
const COST = { memory: 19_456, passes: 2, parallelism: 1 } as const;
const SALT_BYTES = 16;
const TAG_BYTES = 32;
/** No 0, 1, i, l, o or u: they are misread. Thirty letters are 4.9 bits each. */
const LETTERS = '23456789abcdefghjkmnpqrstvwxyz';
const GROUPS = 5;
const GROUP_LETTERS = 4;
const WAITING_MAX = 20;

const argon2id = promisify(argon2);

/** Node's own cryptography. */
export class NodeSecrets implements Secrets {
  /** One at a time: each takes 19 MiB and a thread that the disk needs as well. */
  #queue: Promise<unknown> = Promise.resolve();
  #waiting = 0;

  newToken(): string {
    return randomBytes(32).toString('base64url');
  }

  newTypedToken(): string {
    const letter = () => LETTERS.charAt(randomInt(LETTERS.length));
    const group = () => Array.from({ length: GROUP_LETTERS }, letter).join('');
    return Array.from({ length: GROUPS }, group).join('-');
  }

  digest(token: string): string {
    return createHash('sha256').update(token).digest('base64url');
  }

  /** @source RFC 2104 (HMAC), with SHA-256 */
  sign(key: string, text: string): string {
    return createHmac('sha256', key).update(text).digest('base64url');
  }

  isSame(a: string, b: string): boolean {
    // Of the digests, so that neither length nor content shows.
    return timingSafeEqual(Buffer.from(this.digest(a)), Buffer.from(this.digest(b)));
  }

  /** In the PHC string format: `$argon2id$v=19$m=…,t=…,p=…$salt$tag`. @source RFC 9106 */
  async hash(passphrase: string): Promise<string> {
    const salt = randomBytes(SALT_BYTES);
    const tag = await this.#tag(passphrase, salt, COST, TAG_BYTES);
    const { memory, passes, parallelism } = COST;
    return `$argon2id$v=19$m=${memory},t=${passes},p=${parallelism}$${bare(salt)}$${bare(tag)}`;
  }

  async verify(passphrase: string, hash: string): Promise<boolean> {
    const match = /^\$argon2id\$v=19\$m=(\d+),t=(\d+),p=(\d+)\$([A-Za-z0-9+/]{11,86})\$([A-Za-z0-9+/]{22,86})$/.exec(
      hash,
    );
    if (match === null) return false;
    const [, memory, passes, parallelism, salt = '', tag = ''] = match;
    const wanted = Buffer.from(tag, 'base64');
    const cost = { memory: Number(memory), passes: Number(passes), parallelism: Number(parallelism) };
    const found = await this.#tag(passphrase, Buffer.from(salt, 'base64'), cost, wanted.length);
    return timingSafeEqual(found, wanted);
  }

  isBusy(): boolean {
    return this.#waiting >= WAITING_MAX;
  }

  #tag(
    passphrase: string,
    nonce: Buffer,
    cost: { memory: number; passes: number; parallelism: number },
    bytes: number,
  ) {
    this.#waiting += 1;
    const work = this.#queue.then(() =>
      argon2id('argon2id', { message: Buffer.from(passphrase), nonce, tagLength: bytes, ...cost }),
    );
    this.#queue = work
      .catch(() => undefined)
      .then(() => {
        this.#waiting -= 1;
      });
    return work;
  }
}

function bare(bytes: Buffer): string {
  return bytes.toString('base64').replace(/=+$/, '');
}

/** Chance and digests that an attacker cannot foresee or turn back. */
export interface Secrets {
  /** 256 bits, URL-safe. */
  newToken(): string;
  /** 100 bits in groups that a person can type. */
  newTypedToken(): string;
  /** Of a token; enough for what cannot be guessed anyway. */
  digest(token: string): string;
  /** Proof, with a key of `newToken`, that a text is ours (HMAC-SHA-256), URL-safe. */
  sign(key: string, text: string): string;
  /** Compares without telling by its time how much agrees. */
  isSame(a: string, b: string): boolean;
  /** Of a passphrase: slow on purpose, and one at a time. */
  hash(passphrase: string): Promise<string>;
  verify(passphrase: string, hash: string): Promise<boolean>;
  /** True while so many passphrases wait that another should not. */
  isBusy(): boolean;
}

/** Requests that one address may make at once, and how fast they come back (per second). */
export const BURST = 600;
export const PER_SECOND = 60;
const REMEMBERED_MAX = 2000;

interface Bucket {
  left: number;
  atMs: number;
}

/** A bucket of requests for each address. */
export class RequestLimit {
  readonly #buckets = new Map<string, Bucket>();

  /** Takes one out of the bucket; false if it is empty. */
  take(address: string, nowMs: number): boolean {
    const bucket = this.#buckets.get(address) ?? { left: BURST, atMs: nowMs };
    bucket.left = Math.min(BURST, bucket.left + ((nowMs - bucket.atMs) / 1000) * PER_SECOND);
    bucket.atMs = nowMs;
    this.#buckets.delete(address);
    this.#buckets.set(address, bucket);
    const oldest = this.#buckets.keys().next().value;
    if (this.#buckets.size > REMEMBERED_MAX && oldest !== undefined) this.#buckets.delete(oldest);
    if (bucket.left < 1) return false;
    bucket.left -= 1;
    return true;
  }
}

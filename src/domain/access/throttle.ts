/** How failures slow the next try down. */
export interface ThrottleRule {
  /** Failures that cost nothing: people mistype. */
  readonly free: number;
  /** Wait after the first failure beyond those (ms); it doubles with each. */
  readonly firstMs: number;
  readonly mostMs: number;
  /** After so long without a failure all is forgotten (ms). */
  readonly forgetMs: number;
}

/** Failures of one address, or at one account. Times are monotonic (ms). */
export interface Failures {
  readonly count: number;
  readonly lastAtMs: number;
}

/** An address that guesses waits up to a quarter of an hour. */
export const BY_ADDRESS: ThrottleRule = { free: 4, firstMs: 1000, mostMs: 15 * 60_000, forgetMs: 60 * 60_000 };
/** Guesses from many addresses slow an account down, but never so that strangers keep its owner out. */
export const BY_ACCOUNT: ThrottleRule = { free: 20, firstMs: 1000, mostMs: 30_000, forgetMs: 60 * 60_000 };

export function oneMore(failures: Failures | undefined, rule: ThrottleRule, nowMs: number): Failures {
  return { count: remembered(failures, rule, nowMs) + 1, lastAtMs: nowMs };
}

/** How long until the next try (ms); 0 for at once. */
export function waitMs(failures: Failures | undefined, rule: ThrottleRule, nowMs: number): number {
  const beyond = remembered(failures, rule, nowMs) - rule.free;
  if (failures === undefined || beyond <= 0) return 0;
  const pauseMs = Math.min(rule.mostMs, rule.firstMs * 2 ** Math.min(beyond - 1, 30));
  return Math.max(0, failures.lastAtMs + pauseMs - nowMs);
}

function remembered(failures: Failures | undefined, rule: ThrottleRule, nowMs: number): number {
  return failures === undefined || nowMs - failures.lastAtMs > rule.forgetMs ? 0 : failures.count;
}

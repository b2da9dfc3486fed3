/** A seeded source of random numbers: the same seed and label give the same numbers on every machine. */
export interface Random {
  /** Uniform in [0, 1), 32 bits. */
  next(): number;
  uniform(low: number, high: number): number;
  normal(mean: number, sd: number): number;
  /** exp of a normal: `median · e^N(0, sigma)`. */
  logNormal(median: number, sigma: number): number;
  logUniform(low: number, high: number): number;
  chance(probability: number): boolean;
  /** A whole number from low to high, both included. */
  integer(low: number, high: number): number;
  pick<T>(choices: readonly [T, ...T[]]): T;
}

/**
 * The raw generator: 32-bit words from a state of four.
 * @source D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", 2018: xoshiro128**
 */
export function createWords(state: readonly [number, number, number, number]): () => number {
  let [a, b, c, d] = state;
  return () => {
    const scrambled = Math.imul(b, 5);
    const word = Math.imul((scrambled << 7) | (scrambled >>> 25), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = (d << 11) | (d >>> 21);
    return word;
  };
}

/** Spreads a 32-bit seed into state words. @source S. Vigna's advice to seed xoshiro by SplitMix; 32-bit form (MurmurHash3 finaliser) */
function createSeeder(seed: number): () => number {
  let counter = seed | 0;
  return () => {
    counter = (counter + 0x9e3779b9) | 0;
    let mixed = counter ^ (counter >>> 16);
    mixed = Math.imul(mixed, 0x85ebca6b);
    mixed ^= mixed >>> 13;
    mixed = Math.imul(mixed, 0xc2b2ae35);
    return mixed ^ (mixed >>> 16);
  };
}

/** 32-bit hash of a label. @source G. Fowler, L. C. Noll, K.-P. Vo: FNV-1a (RFC 9923) */
function hashLabel(label: string): number {
  let hash = 0x811c9dc5;
  for (let index = 0; index < label.length; index += 1) {
    hash = Math.imul(hash ^ label.charCodeAt(index), 0x01000193);
  }
  return hash;
}

/** One stream of random numbers. Streams of one seed with different labels do not disturb each other. */
export function createRandom(seed: number, label: string): Random {
  const seeder = createSeeder(Math.imul(seed, 0x9e3779b1) ^ hashLabel(label));
  const words = createWords([seeder(), seeder(), seeder(), seeder()]);
  const next = () => words() / 4294967296;
  let spare: number | null = null;

  /** @source G. Marsaglia, T. A. Bray, "A convenient method for generating normal variables", 1964 */
  function standardNormal(): number {
    if (spare !== null) {
      const value = spare;
      spare = null;
      return value;
    }
    for (;;) {
      const u = 2 * next() - 1;
      const v = 2 * next() - 1;
      const square = u * u + v * v;
      if (square > 0 && square < 1) {
        const scale = Math.sqrt((-2 * Math.log(square)) / square);
        spare = v * scale;
        return u * scale;
      }
    }
  }

  const uniform = (low: number, high: number) => low + (high - low) * next();
  const integer = (low: number, high: number) => low + Math.floor(next() * (high - low + 1));
  return {
    next,
    uniform,
    normal: (mean, sd) => mean + sd * standardNormal(),
    logNormal: (median, sigma) => median * Math.exp(sigma * standardNormal()),
    logUniform: (low, high) => Math.exp(uniform(Math.log(low), Math.log(high))),
    chance: (probability) => next() < probability,
    integer,
    pick: (choices) => choices[integer(0, choices.length - 1)] ?? choices[0],
  };
}

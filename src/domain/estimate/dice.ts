/** Chance that can be stopped and taken up again: all that it remembers is four words of 32 bits. */
export interface Dice {
  /** Uniform in [0, 1). */
  next(): number;
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number;
  /** Where it stands; `createDice` of it goes on from there. */
  readonly words: () => readonly number[];
}

/**
 * The raw generator and its state.
 * @source D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", 2018: xoshiro128**
 */
export function createDice(words: readonly number[]): Dice {
  let [a = 1, b = 2, c = 3, d = 4] = words;

  function next(): number {
    const scrambled = Math.imul(b, 5);
    const word = Math.imul((scrambled << 7) | (scrambled >>> 25), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = (d << 11) | (d >>> 21);
    return word / 4294967296;
  }

  /** The second of each pair is thrown away, so that there is nothing more to remember. @source G. Marsaglia, T. A. Bray 1964 */
  function normal(): number {
    for (;;) {
      const u = 2 * next() - 1;
      const v = 2 * next() - 1;
      const square = u * u + v * v;
      if (square > 0 && square < 1) return u * Math.sqrt((-2 * Math.log(square)) / square);
    }
  }

  return { next, normal, words: () => [a, b, c, d] };
}

/** The four words of a seed. @source A. Appleby, MurmurHash3 finaliser, over a Weyl sequence */
export function seedWords(seed: number): readonly number[] {
  return [1, 2, 3, 4].map((turn) => {
    let mixed = (Math.imul(seed | 0, 0x9e3779b1) + Math.imul(turn, 0x7f4a7c15)) | 0;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
    return (mixed ^ (mixed >>> 16)) | turn;
  });
}

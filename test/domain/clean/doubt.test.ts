import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Believed, weigh } from '../../../src/domain/clean/doubt.ts';
import type { Quantity } from '../../../src/domain/quantity.ts';
import { MINUTE, NOON } from '../../support/builders.ts';

/** What is believed after each of several readings, a minute apart. */
function believedOf(quantity: Quantity, values: readonly number[], everyMs = MINUTE): number[] {
  let state: Believed | null = null;
  return values.map((value, index) => {
    const next = weigh(quantity, state, { atMs: NOON + index * everyMs, value });
    state = next;
    return next.last.value;
  });
}

describe('a jump', () => {
  test('that nothing makes is not believed, and is forgotten', () => {
    expect(believedOf('beer-temperature', [4, 62, 4.1, -30, 4.2])).toEqual([4, 4, 4.1, 4.1, 4.2]);
  });

  test('is believed once three in a row agree', () => {
    expect(believedOf('beer-temperature', [4, 21, 21.5, 21.2, 21.1])).toEqual([4, 4, 4, 21.2, 21.1]);
    expect(believedOf('beer-temperature', [4, 21, 60, 21.5, 21.2, 21.1])).toEqual([4, 4, 4, 4, 4, 21.1]);
  });

  test('after a long silence is none', () => {
    expect(believedOf('beer-temperature', [4, 21], 15 * MINUTE)).toEqual([4, 21]);
    expect(believedOf('ambient-pressure', [101, 97], 5 * MINUTE)).toEqual([101, 97]);
    expect(believedOf('ambient-pressure', [101, 97])).toEqual([101, 101]);
  });

  test('of a door is believed, and so is whatever a valve, a hand or a leak can do at once', () => {
    expect(believedOf('air-temperature', [2, 20])).toEqual([2, 20]);
    expect(believedOf('headspace-pressure', [0, 850])).toEqual([0, 850]);
    expect(believedOf('room-co2', [500, 40_000])).toEqual([500, 40_000]);
    expect(believedOf('cylinder-mass', [10, 0])).toEqual([10, 0]);
  });
});

test('no probe is doubted for ever while it agrees with itself', () => {
  const steady = fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 3, maxLength: 20 });
  fc.assert(
    fc.property(fc.double({ min: -40, max: 80, noNaN: true }), steady, (level, noise) => {
      const values = [4, ...noise.map((one) => level + one)];
      expect(believedOf('beer-temperature', values).at(-1)).toBe(values.at(-1));
    }),
  );
});

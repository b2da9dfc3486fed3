import { describe, expect, test } from 'vitest';
import { bottleCount, bottleLitres, readBottles, spares } from '../../../src/domain/fill-plan/bottles.ts';

const groups = (text: string) => {
  const read = readBottles(text);
  if (!read.ok) throw new Error(read.reason);
  return read.groups;
};
const reason = (text: string) => {
  const read = readBottles(text);
  return read.ok ? '' : read.reason;
};

describe('bottles as text', () => {
  test('are numbers of sizes, mixed ones too', () => {
    expect(groups('12x0.5,6x0.33')).toEqual([
      { count: 12, litres: 0.5 },
      { count: 6, litres: 0.33 },
    ]);
    expect(groups(' 3 x .75 , 1×1')).toEqual([
      { count: 3, litres: 0.75 },
      { count: 1, litres: 1 },
    ]);
    expect(bottleCount(groups('12x0.5,6x0.33'))).toBe(18);
    expect(bottleLitres(groups('12x0.5,6x0.33'))).toBeCloseTo(7.98, 9);
  });

  test('are refused with what to write instead', () => {
    expect(reason('a dozen')).toContain('write 12x0.5,6x0.33');
    expect(reason('')).toContain('is not understood');
    expect(reason('0x0.5')).toContain('must be 1 to 2000');
    expect(reason('2001x0.5')).toContain('must be 1 to 2000');
    expect(reason('1x0.05')).toContain('0.1 to 5 L');
    expect(reason('1x6')).toContain('0.1 to 5 L');
    expect(reason(Array(9).fill('1x1').join(','))).toContain('at most 8 sizes');
  });

  test('have two spares, and one of a dozen beyond', () => {
    expect([1, 12, 24, 25, 60].map(spares)).toEqual([2, 2, 2, 3, 5]);
  });
});

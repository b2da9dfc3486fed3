import { expect, test } from 'vitest';
import { benchCalculate } from './calculate.ts';

test('10,000 requests are answered in well under 2 s, near what JSON alone takes', async () => {
  const { answersMs, ratio } = await benchCalculate();
  expect(answersMs).toBeLessThan(2000);
  // Measured 1.7; the bound leaves room for a loaded machine and still finds a careless step per line.
  expect(ratio).toBeLessThan(10);
});

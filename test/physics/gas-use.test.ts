import { expect, test } from 'vitest';
import {
  airAfterFlushing,
  airAfterPurges,
  carbonatingGrams,
  flushingGrams,
  purgingGrams,
  pushingGrams,
} from '../../src/physics/gas-use.ts';
import { celsius, kpaAbsolute, litres, volumes } from '../../src/physics/units.ts';

const AIR = kpaAbsolute(101.325);
const ZERO = celsius(0);

test('carbonating 19 L from 0.85 to 2.5 volumes takes 62 g, and beer that holds enough takes none', () => {
  expect(carbonatingGrams(volumes(0.85), volumes(2.5), litres(19))).toBeCloseTo(1.65 * 19 * 1.977, 9);
  expect(carbonatingGrams(volumes(2.6), volumes(2.5), litres(19))).toBe(0);
});

test('a litre of gas at 0 °C and one atmosphere is 1.977 g', () => {
  // Source: "Properties of Carbon Dioxide", an industrial gas supplier: 1.977 kg/m³.
  expect(pushingGrams(litres(1), AIR, ZERO)).toBeCloseTo(1.977, 2);
  expect(flushingGrams(litres(0.5), 2, AIR, ZERO)).toBeCloseTo(1.977, 2);
  // Pressed to two atmospheres and vented: one atmosphere's worth, a little more for a real gas.
  expect(purgingGrams(litres(1), kpaAbsolute(202.65), AIR, 3, ZERO)).toBeGreaterThan(3 * 1.977);
  expect(purgingGrams(litres(1), kpaAbsolute(202.65), AIR, 3, ZERO)).toBeLessThan(3 * 2.03);
});

test('flushing dilutes as many small additions of gas do', () => {
  let share = 1;
  for (let part = 0; part < 10_000; part += 1) share /= 1 + 5 / 10_000;
  expect(airAfterFlushing(AIR, 5) / AIR).toBeCloseTo(share, 4);
});

test('each purge to twice the air pressure leaves half the air', () => {
  expect(airAfterPurges(AIR, kpaAbsolute(202.65), 3)).toBeCloseTo(AIR / 8, 9);
  expect(airAfterPurges(AIR, kpaAbsolute(202.65), 0)).toBe(AIR);
});

import { expect, test } from 'vitest';
import { placeRings } from '../../../web/charts/ring-spot.ts';

const box = { left: 40, right: 400, top: 10, bottom: 130 };
const point = (x: number, y: number) => ({ x, y, words: '62 °C', width: 40 });
const placed = (...points: ReturnType<typeof point>[]) => placeRings({ ratio: 1, points, box });

test('a value within the scale is a ring where it lies, without words', () => {
  expect(placed(point(100, 60))).toEqual([{ x: 100, y: 60, radius: 4, label: null }]);
});

test('a value beyond the scale stands at its edge and says what it is', () => {
  const [high, low] = placed(point(100, -5000), point(300, 5000));
  expect(high).toEqual({ x: 100, y: 18, radius: 4, label: { words: '62 °C', x: 109, y: 23 } });
  expect(low?.y).toBe(122);
});

test('words stand left of the ring where there is no room, and fall away where others stand', () => {
  expect(placed(point(390, -50))[0]?.label?.x).toBe(341);
  const crowd = placed(point(200, -50), point(210, -50), point(220, -50));
  expect(crowd.map(({ label }) => label?.x ?? null)).toEqual([151, null, 229]);
});

test('what lies outside the time shown is not drawn', () => {
  expect(placed(point(39, 60), point(401, 60))).toEqual([]);
});

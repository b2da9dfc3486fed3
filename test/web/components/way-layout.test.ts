import { expect, test } from 'vitest';
import { layOutWay, lensPath } from '../../../web/components/way/layout.ts';

const FRAME = { width: 560, small: false, ambient: false, marginRight: 33 };
const WINDOW = { low: 2.3, high: 2.6 };
const HALF_NUMBER = 50;

test('every window stands at the same place, whatever its volumes', () => {
  const one = layOutWay({ ...WINDOW, dissolved: null, equilibriumVolumes: 2.4 }, FRAME);
  const other = layOutWay({ low: 1.1, high: 2.9, dissolved: null, equilibriumVolumes: null }, FRAME);
  expect(other.windowLeft).toBe(one.windowLeft);
  expect(other.windowRight).toBe(one.windowRight);
});

test('without an estimate there is an outline where the beer is heading, and no lens', () => {
  const way = layOutWay({ ...WINDOW, dissolved: null, equilibriumVolumes: 2.45 }, FRAME);
  expect(way.lens).toBeNull();
  expect(way.arrow).toBeNull();
  expect(way.ghost?.beyond).toBe(0);
  expect(way.ghost?.x).toBeCloseTo((way.windowLeft + way.windowRight) / 2, 6);
});

test('what lies beyond the drawing is said to lie beyond, on the right side of it', () => {
  const far = (equilibriumVolumes: number) => layOutWay({ ...WINDOW, dissolved: null, equilibriumVolumes }, FRAME);
  expect(far(4).ghost?.beyond).toBe(1);
  expect(far(0.2).ghost?.beyond).toBe(-1);
});

test('with an estimate the lens is as wide as what is not known', () => {
  const dissolved = { volumes: 2.45, low: 2.3, high: 2.6 };
  const way = layOutWay({ ...WINDOW, dissolved, equilibriumVolumes: 2.45 }, FRAME);
  expect(way.lens?.left).toBeCloseTo(way.windowLeft, 6);
  expect(way.lens?.right).toBeCloseTo(way.windowRight, 6);
  expect(way.arrow).toBeNull();
});

test('the arrow points to where it is heading, up or down', () => {
  const dissolved = { volumes: 2.45, low: 2.42, high: 2.48 };
  const up = layOutWay({ ...WINDOW, dissolved, equilibriumVolumes: 2.7 }, FRAME).arrow;
  const down = layOutWay({ ...WINDOW, dissolved, equilibriumVolumes: 2.1 }, FRAME).arrow;
  expect(up !== null && up.to > up.from).toBe(true);
  expect(down !== null && down.to < down.from).toBe(true);
});

test('a number never crosses an upright', () => {
  for (let volumes = 1.2; volumes < 3.4; volumes += 0.01) {
    for (const width of [460, 560, 800]) {
      const way = layOutWay({ ...WINDOW, dissolved: null, equilibriumVolumes: volumes }, { ...FRAME, width });
      const [left, right] = [way.numberX - HALF_NUMBER, way.numberX + HALF_NUMBER];
      for (const upright of [way.windowLeft, way.windowRight]) {
        const crosses = left < upright - 1e-6 && right > upright + 1e-6;
        // A window narrower than its number centres it: both uprights are then crossed alike, and none on purpose.
        if (way.windowRight - way.windowLeft >= 2 * HALF_NUMBER) expect(crosses).toBe(false);
      }
    }
  }
});

test('a lens longer than the rail is drawn whole, and the ends of the rail say what they are', () => {
  const young = { ...WINDOW, dissolved: { volumes: 1.15, low: 0.8, high: 1.6 }, equilibriumVolumes: 2.41 };
  const way = layOutWay(young, FRAME);
  expect(way.lens?.left).toBeGreaterThan(way.railLeft);
  expect(way.lens?.right).toBeLessThan(way.windowLeft);
  expect((way.lens?.right ?? 0) - (way.lens?.left ?? 0)).toBeGreaterThan(80);
  expect(way.ends.left).toBeLessThan(0.8);
  expect(way.ends.right).toBeNull();
  const lively = { ...WINDOW, dissolved: { volumes: 3.4, low: 3.1, high: 3.7 }, equilibriumVolumes: null };
  const over = layOutWay(lively, FRAME);
  expect(over.lens?.left).toBeGreaterThan(over.windowRight);
  expect(over.lens?.right).toBeLessThan(over.railRight);
  expect(over.ends).toMatchObject({ left: null });
  expect(over.ends.right).toBeGreaterThan(3.7);
});

test('inside its window a lens has the same width, however far it reaches out', () => {
  const wide = layOutWay(
    { ...WINDOW, dissolved: { volumes: 2.3, low: 1, high: 2.45 }, equilibriumVolumes: null },
    FRAME,
  );
  expect(wide.lens?.right).toBeCloseTo((wide.windowLeft + wide.windowRight) / 2, 6);
});

test('the words of the arrow never lie on the lens', () => {
  for (let volumes = 1.6; volumes < 2.29; volumes += 0.01) {
    const dissolved = { volumes, low: volumes - 0.05, high: volumes + 0.05 };
    const { heading, lens, windowRight } = layOutWay({ ...WINDOW, dissolved, equilibriumVolumes: 2.45 }, FRAME);
    if (heading === null || lens === null) continue;
    if (heading.anchor === 'end') expect(heading.x - 116).toBeGreaterThan(lens.right - 14.001);
    else expect(heading.x).toBeGreaterThan(windowRight);
  }
  const past = { volumes: 2.75, low: 2.7, high: 2.8 };
  expect(layOutWay({ ...WINDOW, dissolved: past, equilibriumVolumes: 2.88 }, FRAME).heading).toBeNull();
});

test('a lens is closed and as wide as asked', () => {
  const path = lensPath(10, 60, 40, 20);
  expect(path.startsWith('M10.0 40.0')).toBe(true);
  expect(path.endsWith('Z')).toBe(true);
});

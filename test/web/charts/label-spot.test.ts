import { expect, test } from 'vitest';
import { type LabelFacts, placeLabel } from '../../../web/charts/label-spot.ts';

const xs = Array.from({ length: 101 }, (_, index) => index * 8);
const flat = (height: number): number[] => xs.map(() => height);
const FACTS: LabelFacts = {
  ratio: 1,
  xs,
  own: flat(100),
  others: [],
  levels: [],
  box: { left: 0, right: 800, top: 0, bottom: 200 },
  textWidth: 70,
  shares: [0.6, 0.3],
  side: 'above',
};

/** True if a level line runs through the letters of a name that stands on this baseline. */
const through = (baseline: number, level: number): boolean => level > baseline - 11 && level < baseline + 4;

test('a name stands above its line, at the first place', () => {
  expect(placeLabel(FACTS)).toEqual({ x: 480, y: 93 });
});

test('a name changes sides where a level line would run through it', () => {
  const spot = placeLabel({ ...FACTS, levels: [88] });
  expect(spot?.y).toBeGreaterThan(100 + 11);
});

test('a name stands beyond the dip of its own line, not in it', () => {
  const own = xs.map((x) => (x > 500 && x < 530 ? 60 : 100));
  const spot = placeLabel({ ...FACTS, own, shares: [0.6] });
  expect(spot !== null && spot.y <= 60 - 4).toBe(true);
});

test('a name goes elsewhere where lines are on both sides', () => {
  const other = xs.map((x) => (x > 440 ? 90 : 20));
  const spot = placeLabel({ ...FACTS, others: [other], levels: [115] });
  expect(spot?.x).toBe(240);
});

test('if no place is clear, the clearest is taken', () => {
  const levels = [86, 112];
  const spot = placeLabel({ ...FACTS, levels });
  expect(spot).not.toBeNull();
  expect(levels.filter((level) => through(spot?.y ?? 0, level)).length).toBeLessThan(2);
});

test('a name does not stand across a gap', () => {
  const own = xs.map((x) => (x > 500 && x < 520 ? null : 100));
  expect(placeLabel({ ...FACTS, own })?.x).toBe(240);
});

test('a single value has its name beside it, a line without values none', () => {
  const single = xs.map((x) => (x === 792 ? 100 : null));
  expect(placeLabel({ ...FACTS, own: single })).toEqual({ x: 792 - 70 - 9, y: 105 });
  expect(placeLabel({ ...FACTS, own: xs.map(() => null) })).toBeNull();
});

test('the name of a single value stands clear of a level line too', () => {
  const single = xs.map((x) => (x === 792 ? 100 : null));
  const spot = placeLabel({ ...FACTS, own: single, levels: [100] });
  expect(through(spot?.y ?? 100, 100)).toBe(false);
});

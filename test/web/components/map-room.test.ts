import { expect, test } from 'vitest';
import { freezingC, mapExtent } from '../../../web/components/carbonation-map/geometry.ts';
import { layOutMap } from '../../../web/components/carbonation-map/layout.ts';
import type { MapProps } from '../../../web/components/carbonation-map/map-props.ts';
import { project } from '../../../web/components/carbonation-map/projection.ts';
import { crossings, roomiest } from '../../../web/components/carbonation-map/room.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

const BOX = { left: 10, right: 20, top: 10, bottom: 20 };
const at = (x: number, y: number) => ({ x, y });
const box = (left: number, top: number) => ({ box: { left, right: left + 10, top, bottom: top + 10 } });
const INSIDE = { left: 0, right: 100, top: 0, bottom: 100 };

test.each([
  ['through', [at(0, 15), at(30, 15)], 1],
  ['across a corner', [at(8, 14), at(14, 8)], 1],
  ['past a corner', [at(5, 12), at(12, 5)], 0],
  ['ending inside', [at(0, 0), at(15, 15)], 1],
  ['beside', [at(0, 25), at(30, 25)], 0],
  ['upright beside', [at(25, 0), at(25, 30)], 0],
  ['short of it', [at(0, 15), at(9, 15)], 0],
])('a line %s', (_, line, count) => {
  expect(crossings(BOX, line)).toBe(count);
});

test('the first free place is taken, else the one that is crossed least, and never one outside', () => {
  const places = [box(0, 0), box(40, 40), box(95, 40)] as const;
  const line = [at(0, 5), at(50, 5)];
  expect(roomiest(places, { inside: INSIDE, lines: [], boxes: [] })).toBe(places[0]);
  expect(roomiest(places, { inside: INSIDE, lines: [line], boxes: [] })).toBe(places[1]);
  expect(roomiest(places, { inside: INSIDE, lines: [line], boxes: [places[1].box] })).toBe(places[0]);
});

const HOUR_MS = 3_600_000;
/** A keg that was warm, was chilled, and climbs now: its trail runs right and below the place to fill from. */
const PROPS: MapProps = {
  units: { ...DEFAULT_UNITS, pressure: 'kPa' },
  beerName: 'Slow Bicycle',
  ambientKpaAbsolute: 100.8,
  co2Ratio: 1,
  target: { volumes: 2.45, low: 2.3, high: 2.6, celsius: 2 },
  abvPercent: 4.6,
  advisedKpaGauge: 63,
  now: { celsius: 1.4, kpaGauge: 88 },
  trail: [
    { atMs: 0, celsius: 7, kpaGauge: 69 },
    { atMs: HOUR_MS, celsius: 2.2, kpaGauge: 50 },
    { atMs: 2 * HOUR_MS, celsius: -0.8, kpaGauge: 50 },
    { atMs: 3 * HOUR_MS, celsius: 1.4, kpaGauge: 62 },
    { atMs: 4 * HOUR_MS, celsius: 1.4, kpaGauge: 88 },
  ],
  closed: [],
  midnights: [],
  gasWord: 'gas open',
  ambientFrom: 'site-altitude',
  act: true,
  old: false,
};

test.each([310, 350, 470, 936])(
  'words on a map %d px wide stand clear of the ice, of the trail and of each other',
  (width) => {
    const projection = project(mapExtent(PROPS), { width, height: 400 }, { left: 40, right: 8, top: 10, bottom: 42 });
    const { arrow, fillWords } = layOutMap({ ...PROPS, projection });
    if (arrow === null || fillWords === null) throw new Error('the arrow or the name of the place is missing');
    const iceX = projection.x(freezingC(PROPS.abvPercent));
    const trail = PROPS.trail.map((point) => at(projection.x(point.celsius ?? 0), projection.y(point.kpaGauge ?? 0)));
    for (const words of [arrow.box, fillWords.box]) {
      expect(words.left).toBeGreaterThan(iceX);
      expect(words.right).toBeLessThan(projection.right);
    }
    expect(crossings(fillWords.box, trail)).toBe(0);
    expect(crossings(arrow.box, arrow.points)).toBe(0);
    const apart = arrow.box.right <= fillWords.box.left || fillWords.box.right <= arrow.box.left;
    expect(apart || arrow.box.bottom <= fillWords.box.top || fillWords.box.bottom <= arrow.box.top).toBe(true);
  },
);

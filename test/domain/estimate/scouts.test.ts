import { describe, expect, test } from 'vitest';
import { carbonating } from './kegs.ts';

const AMBIENT = 101.325;
const middle = (values: Float64Array): number => values.toSorted()[Math.floor(values.length / 2)] ?? Number.NaN;

describe('scouts', () => {
  test('led along one pressure come to what the prospect of it says', () => {
    const keg = carbonating(288);
    const conditions = { beerC: 4, headspaceKpaGauge: 70, ambientKpaAbsolute: AMBIENT, hours: 96, points: 2 };
    const prospect = keg.prospect({ ...conditions, goal: { low: 2, high: 2.5 }, fromVolumes: null });
    const run = keg.scouts(200, AMBIENT);
    run.pass(96, 4, 70);
    expect(Math.abs(middle(run.contents()) - (prospect.course.at(-1)?.volumes ?? 0))).toBeLessThan(0.03);
  });

  test('go their own way after a fork, and leave the estimate as it was', () => {
    const keg = carbonating(144);
    const before = keg.estimate();
    const run = keg.scouts(50, AMBIENT);
    const higher = run.fork();
    run.pass(24, 4, 70);
    higher.pass(24, 4, 200);
    const gains = higher.contents().map((content, index) => content - (run.contents()[index] ?? 0));
    expect(Math.min(...gains)).toBeGreaterThan(0);
    expect(keg.estimate()).toEqual(before);
  });

  test('are the same whether the hours are passed at once or in parts', () => {
    const [once, parts] = [carbonating(144).scouts(50, AMBIENT), carbonating(144).scouts(50, AMBIENT)];
    once.pass(48, 4, 70);
    for (let part = 0; part < 16; part += 1) parts.pass(3, 4, 70);
    expect(Math.abs(middle(once.contents()) - middle(parts.contents()))).toBeLessThan(0.02);
  });
});

import { describe, expect, test } from 'vitest';
import { dissolvedAt } from '../../src/domain/dissolved-curve.ts';
import type { EstimatePoint } from '../../src/domain/estimate-point.ts';
import { MINUTE, NOON } from '../support/builders.ts';

const point = (minute: number, volumes: number): EstimatePoint => ({
  atMs: NOON + minute * MINUTE,
  equilibriumVolumes: null,
  volumes,
  low: volumes - 0.2,
  high: volumes + 0.3,
  leak: 'none',
});

function along(points: readonly EstimatePoint[], bucketMinutes: number, ...minutes: number[]) {
  const at = dissolvedAt(points, bucketMinutes * MINUTE);
  return minutes.map((minute) => at(NOON + minute * MINUTE)?.volumes ?? null);
}

describe('the estimate along a curve', () => {
  test('lies on straight lines between its points', () => {
    const points = [point(0, 1), point(15, 1.3), point(30, 1.9)];
    expect(along(points, 2, -1, 4, 9, 14, 19)).toEqual([1, 1.1, 1.2, 1.3, expect.closeTo(1.5)]);
    const at = dissolvedAt(points, 2 * MINUTE);
    expect(at(NOON + 4 * MINUTE)).toEqual({ volumes: 1.1, low: expect.closeTo(0.9), high: expect.closeTo(1.4) });
  });

  test('stands for half an hour after its last point, and not before its first', () => {
    expect(along([point(0, 1)], 2, -10, 10, 30, 31)).toEqual([null, 1, 1, null]);
    expect(along([], 2, 0)).toEqual([null]);
  });

  test('does not cross a gap', () => {
    const points = [point(0, 1), point(120, 2)];
    expect(along(points, 2, 20, 60, 119)).toEqual([1, null, 2]);
  });

  test('is there in a bucket longer than the time between points', () => {
    const points = [point(0, 1), point(15, 1.3), point(30, 1.9)];
    expect(along(points, 240, 0, 240)).toEqual([1.9, null]);
    // The first bucket begins long before the filling.
    expect(along(points, 240, -230)).toEqual([1]);
  });
});

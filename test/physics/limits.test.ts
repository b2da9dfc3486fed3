import { expect, test } from 'vitest';
import { CO2_EXPOSURE_LIMITS, GLASS_SAFETY_FACTOR, PRESSURE_LIMITS } from '../../src/physics/limits.ts';

test('every limit says where it comes from and how sure that is', () => {
  for (const limit of [...PRESSURE_LIMITS, ...CO2_EXPOSURE_LIMITS]) {
    expect(limit.source.length).toBeGreaterThan(5);
    expect(['seen', 'seen in secondary text', 'from memory']).toContain(limit.status);
  }
});

test('new glass is proven far above what it should carry', () => {
  const glass = PRESSURE_LIMITS.find(({ subject }) => subject.includes('proof'));
  // Source: two trade articles on glass bottle testing: 1.0 to 1.6 MPa, safety factor 3 to 5.
  expect(glass).toMatchObject({ lowKpaGauge: 1000, highKpaGauge: 1600, status: 'seen' });
  expect(GLASS_SAFETY_FACTOR).toEqual({ low: 3, high: 5 });
});

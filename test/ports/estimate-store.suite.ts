import { describe, expect, test } from 'vitest';
import type { EstimatePoint } from '../../src/domain/estimate-point.ts';
import type { EstimateStore } from '../../src/ports/estimate-store.ts';
import { MINUTE, NOON } from '../support/builders.ts';

const point = (minute: number, parts: Partial<EstimatePoint> = {}): EstimatePoint => ({
  atMs: NOON + minute * MINUTE,
  equilibriumVolumes: 2.4,
  volumes: 1.2345678901234567,
  low: 1.1,
  high: 1.4,
  leak: 'none',
  ...parts,
});

/** What every store of estimates must do. */
export function describeEstimateStore(name: string, aStore: () => Promise<EstimateStore>): void {
  describe(`estimates in ${name}`, () => {
    test('come back as they were kept, in order of time, each batch by itself', async () => {
      const store = await aStore();
      await store.open();
      const points = [
        point(15, { leak: 'suspected' }),
        point(0, { leak: 'likely' }),
        point(30, { equilibriumVolumes: null }),
      ];
      await store.save([...points.map((one) => ({ ...one, batchId: 'b1' })), { ...point(15), batchId: 'b2' }]);
      expect(await store.range('b1', NOON, NOON + 31 * MINUTE)).toEqual([points[1], points[0], points[2]]);
      expect(await store.range('b1', NOON + 1, NOON + 30 * MINUTE)).toEqual([points[0]]);
      expect(await store.range('b2', NOON, NOON + 60 * MINUTE)).toEqual([point(15)]);
      expect(await store.range('b3', NOON, NOON + 60 * MINUTE)).toEqual([]);
      expect(await store.range('b1', NOON, NOON)).toEqual([]);
    });

    test('are replaced by those of the same moment', async () => {
      const store = await aStore();
      await store.open();
      await store.save([{ ...point(0), batchId: 'b1' }]);
      await store.save([{ ...point(0, { volumes: 2, leak: 'likely' }), batchId: 'b1' }]);
      expect(await store.range('b1', NOON, NOON + 1)).toEqual([point(0, { volumes: 2, leak: 'likely' })]);
    });
  });
}

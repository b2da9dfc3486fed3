/**
 * Aim: whatever is entered or measured, the estimate stays finite and in order.
 * Method: fillings, steps and events full of nonsense, drawn by fast-check, which prints the seed that failed.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Estimator } from '../../../src/domain/estimate/estimator.ts';
import type { EstimateStep, Filling, StepEvent } from '../../../src/domain/estimate/types.ts';
import { STEP_MS } from './kegs.ts';

const odd = fc.constantFrom(
  Number.NaN,
  Number.POSITIVE_INFINITY,
  Number.NEGATIVE_INFINITY,
  0,
  -5,
  1e9,
  -1e9,
  0.01,
  3.3,
  18,
  80,
);
const oddOrNull = fc.option(odd, { nil: null });

const filling: fc.Arbitrary<Filling> = fc.record({
  atMs: fc.constant(0),
  totalL: odd,
  beerL: odd,
  diameterM: oddOrNull,
  beerC: oddOrNull,
  fermentedC: oddOrNull,
  beerState: fc.constantFrom('flat', 'carbonated', 'priming', 'unknown'),
  thermometer: fc.constantFrom('thermowell', 'wall', 'air'),
  onGasSinceMs: oddOrNull,
});

const atMs = fc.integer({ min: -1000, max: 100 * STEP_MS });
const event: fc.Arbitrary<StepEvent> = fc.oneof(
  fc.record({
    kind: fc.constantFrom(
      'gas-opened',
      'gas-closed',
      'gas-check-ended',
      'vented',
      'moved',
      'stone-started',
      'probe-zeroed',
    ),
    atMs,
  }),
  fc.record({ kind: fc.constant('gas-check-started' as const), atMs, shaken: fc.boolean() }),
  fc.record({ kind: fc.constant('purged' as const), atMs, times: odd, kpaGauge: oddOrNull }),
  fc.record({ kind: fc.constant('shaken' as const), atMs, seconds: odd }),
  fc.record({ kind: fc.constant('drawn' as const), atMs, litres: odd }),
  fc.record({ kind: fc.constant('weighed' as const), atMs, kg: odd, plusMinusKg: odd }),
  fc.record({ kind: fc.constant('sample-measured' as const), atMs, volumes: odd, plusMinus: odd }),
  fc.record({ kind: fc.constant('regulator-set' as const), atMs, kpaGauge: odd }),
);

interface Part {
  readonly forMs: number;
  readonly step: Omit<EstimateStep, 'fromMs' | 'toMs'>;
}

const part: fc.Arbitrary<Part> = fc.record({
  forMs: fc.constantFrom(STEP_MS, STEP_MS, STEP_MS, 0, -STEP_MS, 80_000_000, 1000, Number.NaN),
  step: fc.record({
    beerC: fc.oneof(fc.double({ min: -2, max: 25, noNaN: true }), oddOrNull),
    headspaceKpaGauge: fc.oneof(fc.double({ min: -5, max: 200, noNaN: true }), oddOrNull),
    ambientKpaAbsolute: fc.oneof(fc.constant(101.325), odd),
    ambientFromBarometer: fc.boolean(),
    co2Ratio: fc.oneof(fc.constant(1), odd),
    events: fc.array(event, { maxLength: 2 }),
  }),
});

test('nothing that is entered or measured breaks it', () => {
  fc.assert(
    fc.property(filling, odd, fc.array(part, { minLength: 5, maxLength: 40 }), (filled, kpaAbsolute, parts) => {
      const keg = Estimator.begin(filled, { kpaAbsolute, fromBarometer: false }, { seed: 1, particles: 100 });
      let nowMs = 0;
      for (const { forMs, step } of parts) {
        keg.advance({ ...step, fromMs: nowMs, toMs: nowMs + forMs });
        if (Number.isFinite(forMs)) nowMs += forMs;
        const { disagreement: _d, leak: _l, gas: _g, equilibriumVolumes, ...numbers } = keg.estimate();
        for (const value of [...Object.values(numbers), equilibriumVolumes ?? 0])
          expect(value).toSatisfy(Number.isFinite);
        expect(numbers.low).toBeGreaterThanOrEqual(0);
        expect(numbers.low).toBeLessThanOrEqual(numbers.volumes);
        expect(numbers.volumes).toBeLessThanOrEqual(numbers.high);
      }
      const resumed = Estimator.resume(JSON.parse(JSON.stringify(keg.snapshot())));
      expect(resumed.estimate()).toEqual(keg.estimate());
    }),
    { numRuns: 40 },
  );
});

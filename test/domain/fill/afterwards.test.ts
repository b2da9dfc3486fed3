import { describe, expect, test } from 'vitest';
import {
  bottledVolumes,
  bottleKpaGauge,
  conditioning,
  conditionsOfFill,
  oxygenThroughCapMgPerL,
  storingAdvice,
} from '../../../src/domain/fill/afterwards.ts';
import { NOON } from '../../support/builders.ts';
import { aBottle, aFill } from '../../support/fills.ts';

describe('storing', () => {
  test('counts the oxygen of the cap: 0.001 cm³ a day are 0.04 mg a month', () => {
    // 30 days x 0.001 cm³ x 32 g/mol / 22.4 L/mol = 0.043 mg; worked by hand.
    expect(oxygenThroughCapMgPerL(1, 30)).toBeCloseTo(0.0428, 4);
    expect(oxygenThroughCapMgPerL(0.5, 28)).toBeCloseTo(0.08, 2);
  });

  test('says of each sentence what it rests on, or that nothing does', () => {
    const advice = storingAdvice(0.5);
    expect(advice.filter(({ source }) => source === null)).toHaveLength(2);
    expect(advice.map(({ text }) => text).join(' ')).toContain('0.08 mg/L in 28 days');
  });
});

describe('what is in the bottle', () => {
  test('is what was in the keg less the published loss; at most all of it', () => {
    // Liger-Belair and Cilindre 2021, table 1: 5.5 % lost in a gentle pour.
    const bottled = bottledVolumes({ volumes: 2.4, low: 2.3, high: 2.5 });
    expect(bottled.volumes).toBeCloseTo(2.4 * 0.945, 2);
    expect(bottled.low).toBeCloseTo(2.3 * 0.945, 2);
    expect(bottled.high).toBe(2.5);
  });

  test('presses harder when it is warm', () => {
    // A reference table computed apart from this program: 2.5 volumes, 4 % headspace, 0.79 bar at 4 °C, 1.92 bar at 20 °C,
    // to be met within 0.2 psi (1.4 kPa) by the same law.
    const [cold, room] = [bottleKpaGauge(2.5, 2, 4, 101.325), bottleKpaGauge(2.5, 2, 20, 101.325)];
    expect(Math.abs((cold ?? 0) - 79)).toBeLessThan(1.9);
    expect(Math.abs((room ?? 0) - 192)).toBeLessThan(1.9);
    expect(bottleKpaGauge(2.5, 2, 90, 101.325)).toBeNull();
  });

  test('needs sugar only for what it lacks', () => {
    // Stoichiometry: a gram of sucrose gives 0.514 g of CO2; a volume is 1.977 g/L.
    expect(conditioning(2, 2.5, 'sucrose')?.gramsPerL).toBeCloseTo((0.5 * 1.977) / 0.5143, 2);
    expect(conditioning(2.6, 2.5, 'sucrose')).toMatchObject({ gramsPerL: 0, wishedVolumes: 2.5 });
    expect(conditioning(0, 9, 'dextrose')).toBeNull();
  });
});

describe('what a fill was like', () => {
  test('is the middle of what its bottles knew', () => {
    const at = (volumes: number, beerTemperatureC: number | null) => ({
      atMs: NOON,
      beerTemperatureC,
      headspaceKpaGauge: 70,
      dissolved: { volumes, low: volumes - 0.1, high: volumes + 0.1 },
      verdict: null,
    });
    const bottles = [
      aBottle(1, { conditions: at(2.3, 1) }),
      aBottle(2, { conditions: at(2.5, 2) }),
      aBottle(3, { conditions: at(2.4, null) }),
      aBottle(4),
    ];
    const { dissolved, beerC, kpaGauge } = conditionsOfFill({ fill: aFill(), bottles });
    expect(dissolved?.volumes).toBe(2.4);
    expect([beerC, kpaGauge]).toEqual([1.5, 70]);
    expect(conditionsOfFill({ fill: aFill(), bottles: [] })).toEqual({ dissolved: null, beerC: null, kpaGauge: null });
  });
});

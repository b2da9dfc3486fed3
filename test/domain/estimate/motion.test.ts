/**
 * Aim: what moves a particle keeps CO2 and agrees with laws that can be solved by hand.
 * Method: conservation, fixed points and closed forms; nothing is compared with the model's own output.
 */
import { describe, expect, test } from 'vitest';
import { strideOn } from '../../../src/domain/estimate/ahead.ts';
import { at, beerM3Of, type Cloud, contentOf, deriveAll, fillEvenly } from '../../../src/domain/estimate/cloud.ts';
import type { Course } from '../../../src/domain/estimate/course.ts';
import {
  closedPressure,
  ferment,
  leakClosed,
  leapOpen,
  MOL_PER_M3_VOLUME,
  moveClosed,
  moveOpen,
  sweepOpen,
} from '../../../src/domain/estimate/motion.ts';
import { move } from '../../../src/domain/estimate/walk.ts';
import { aCloud, anAround, carbonating } from './kegs.ts';

const OFFSET = 0.003342;

/** All CO2 in a closed particle (mol). */
const molIn = (cloud: Cloud, index: number) =>
  at(cloud.columns.gas, index) +
  MOL_PER_M3_VOLUME * at(cloud.columns.henry, index) * contentOf(cloud, index) * beerM3Of(cloud, index);

function closeAt(cloud: Cloud, pressurePa: number, energy: number): void {
  const { gas, space } = cloud.columns;
  for (let index = 0; index < cloud.size; index += 1) gas[index] = (pressurePa * at(space, index)) / energy;
}

const each = (cloud: Cloud, look: (index: number) => void) => {
  for (let index = 0; index < cloud.size; index += 1) look(index);
};

const fillAll = (cloud: Cloud, volumes: number) => each(cloud, (index) => fillEvenly(cloud, index, volumes));

describe('a closed particle', () => {
  test.each(['still', 'shaken', 'stone'] as const)('keeps its CO2 to 1e-9 over a day, %s', (stirred) => {
    const cloud = aCloud();
    const around = anAround({ stirred });
    closeAt(cloud, around.pressure, around.energy);
    each(cloud, (index) => {
      const before = molIn(cloud, index);
      for (let step = 0; step < 288; step += 1) moveClosed(cloud, index, around);
      expect(Math.abs(molIn(cloud, index) / before - 1)).toBeLessThan(1e-9);
    });
  });

  test('keeps its CO2 while it gives off, too', () => {
    const cloud = aCloud();
    const around = anAround();
    fillAll(cloud, 3);
    closeAt(cloud, 110_000, around.energy);
    each(cloud, (index) => {
      const before = molIn(cloud, index);
      for (let step = 0; step < 288; step += 1) moveClosed(cloud, index, around);
      expect(Math.abs(molIn(cloud, index) / before - 1)).toBeLessThan(1e-9);
      expect(contentOf(cloud, index)).toBeLessThan(3);
    });
  });

  // By hand: gas + n h V c = all, c = s p - 0.003342, p = gas R T / V_h.
  test('comes in the end to what the balance of mass gives', () => {
    const cloud = aCloud(20);
    const around = anAround({ stirred: 'shaken', dtS: 600 });
    closeAt(cloud, around.pressure, around.energy);
    each(cloud, (index) => {
      const perVolume = MOL_PER_M3_VOLUME * at(cloud.columns.henry, index) * beerM3Of(cloud, index);
      const perPa = at(cloud.columns.space, index) / around.energy;
      const pressure = (molIn(cloud, index) + OFFSET * perVolume) / (perPa + around.solubility * perVolume);
      for (let step = 0; step < 1000; step += 1) moveClosed(cloud, index, around);
      expect(closedPressure(cloud, index, around.energy)).toBeCloseTo(pressure, 0);
      expect(contentOf(cloud, index)).toBeCloseTo(around.solubility * pressure - OFFSET, 4);
    });
  });
});

describe('a particle on gas', () => {
  test('takes up nothing at equilibrium', () => {
    const cloud = aCloud();
    const around = anAround();
    const goal = around.solubility * around.pressure - OFFSET;
    fillAll(cloud, goal);
    for (let step = 0; step < 100; step += 1) moveOpen(cloud, 0, cloud.size, around);
    each(cloud, (index) => expect(contentOf(cloud, index)).toBeCloseTo(goal, 12));
  });

  // One well-mixed layer: c = c* - (c* - c0) exp(-k A t / V).
  test('follows the law of one layer when mixing is fast', () => {
    const cloud = aCloud(10);
    const around = anAround({ dtS: 60 });
    const goal = around.solubility * around.pressure - OFFSET;
    cloud.columns.driven.fill(0);
    fillAll(cloud, 1);
    deriveAll(cloud, 0.0195);
    cloud.columns.mixRate.fill(10);
    cloud.columns.deepRate.fill(10);
    const hours = 48;
    for (let step = 0; step < hours * 60; step += 1) moveOpen(cloud, 0, cloud.size, around);
    each(cloud, (index) => {
      const perS = (at(cloud.columns.surfaceRate, index) * at(cloud.columns.topM3, index)) / beerM3Of(cloud, index);
      const expected = goal - (goal - 1) * Math.exp(-perS * hours * 3600);
      expect(Math.abs(contentOf(cloud, index) - expected)).toBeLessThan(0.01 * (goal - 1));
    });
  });

  // Turbulent convection by analogy (Sh = 0.15 Ra^(1/3), Incropera & DeWitt, ch. 9), computed apart from this program for 19 L, 0.52 m
  // deep, D 1.1e-9 m2/s, viscosity 1.9 mPa s, from 0.85 to 2.5 volumes: 2.56e-6 m/s.
  test('is as fast as the convection estimate within a factor of two, in the median of what is believed', () => {
    const cloud = aCloud(2000);
    const velocities = Array.from({ length: cloud.size }, (_, index) => {
      const { surfaceRate, topM3, area } = cloud.columns;
      return (at(surfaceRate, index) * at(topM3, index)) / at(area, index);
    }).toSorted((a, b) => a - b);
    const median = velocities[1000] ?? 0;
    expect(median / 2.56e-6).toBeGreaterThan(0.5);
    expect(median / 2.56e-6).toBeLessThan(2);
  });

  test('never passes equilibrium, and more pressure never gives less', () => {
    const low = aCloud();
    const high = aCloud();
    const start = contentOf(low, 0);
    for (let step = 0; step < 600; step += 1) {
      moveOpen(low, 0, low.size, anAround({ pressure: 150_000 }));
      moveOpen(high, 0, high.size, anAround({ pressure: 170_000 }));
    }
    each(low, (index) => {
      expect(contentOf(high, index)).toBeGreaterThan(contentOf(low, index));
      expect(contentOf(high, index)).toBeLessThanOrEqual(Math.max(start, 1.37e-5 * 170_000) + 3);
      expect(at(high.columns.top, index)).toBeLessThanOrEqual(Math.max(3.3, 1.37e-5 * 170_000));
    });
  });

  test('short steps and hours at once agree, taking up and giving off', () => {
    for (const start of [0.9, 3]) {
      const walked = aCloud();
      const leapt = aCloud();
      for (const cloud of [walked, leapt]) {
        fillAll(cloud, start);
      }
      for (let step = 0; step < 288 * 3; step += 1) moveOpen(walked, 0, walked.size, anAround({ dtS: 300 }));
      each(leapt, (index) => {
        for (let step = 0; step < 36; step += 1) leapOpen(leapt, index, anAround({ dtS: 2 * 3600 }));
      });
      each(walked, (index) => expect(Math.abs(contentOf(leapt, index) - contentOf(walked, index))).toBeLessThan(0.02));
    }
  });

  test('short steps and strides that grow agree over ten days', () => {
    const { course } = carbonating(10).snapshot() as { course: Course };
    const walked = aCloud();
    const strode = aCloud();
    fillAll(walked, 0.9);
    fillAll(strode, 0.9);
    for (let step = 0; step < 288 * 10; step += 1) move(walked, course, 300);
    strideOn(strode, course, 240);
    each(walked, (index) => expect(Math.abs(contentOf(strode, index) - contentOf(walked, index))).toBeLessThan(0.02));
  });

  test('under less than the outer pressure, what the beer takes up is replaced by air', () => {
    const cloud = aCloud();
    const around = anAround({ pressure: 95_000, breathing: true });
    fillAll(cloud, 0.5);
    for (let step = 0; step < 2000; step += 1) moveOpen(cloud, 0, cloud.size, around);
    each(cloud, (index) => {
      expect(at(cloud.columns.air, index)).toBeGreaterThan(10_000);
      expect(contentOf(cloud, index)).toBeLessThan(0.5 + 1.37e-5 * 95_000 - OFFSET);
    });
  });
});

describe('a leak', () => {
  test('empties the headspace down to the outer pressure and no further', () => {
    const cloud = aCloud();
    const around = anAround();
    closeAt(cloud, around.pressure, around.energy);
    cloud.columns.leak.fill(1e-8);
    each(cloud, (index) => {
      let last = around.pressure;
      for (let step = 0; step < 200; step += 1) {
        leakClosed(cloud, index, around);
        const now = closedPressure(cloud, index, around.energy);
        expect(now).toBeLessThanOrEqual(last + 1e-6);
        last = now;
      }
      expect(last).toBeGreaterThanOrEqual(around.ambient - 1e-3);
      expect(last).toBeLessThan(around.ambient + 200);
    });
  });

  // Choked flow of CO2 at 4 °C by the isentropic law, coefficient 0.6, worked by hand: 0.6 · 0.668 · sqrt(M/(R T))/M · a · p, with
  // M = 0.04401 kg/mol: 0.0398 mol/s per m2 and Pa. 1e-9 m2 at 300 kPa absolute: 1.19e-5 mol/s.
  test('lets out what the law of a nozzle gives', () => {
    const cloud = aCloud(10);
    const around = anAround({ dtS: 1, pressure: 300_000 });
    closeAt(cloud, around.pressure, around.energy);
    cloud.columns.leak.fill(1e-9);
    each(cloud, (index) => {
      const before = at(cloud.columns.gas, index);
      leakClosed(cloud, index, around);
      expect((before - at(cloud.columns.gas, index)) / 1.19e-5).toBeCloseTo(1, 1);
    });
  });

  test('lets air in where the beer draws the pressure below the outer one', () => {
    const cloud = aCloud(10);
    const around = anAround();
    closeAt(cloud, 80_000, around.energy);
    cloud.columns.leak.fill(1e-8);
    leakClosed(cloud, 0, around);
    expect(at(cloud.columns.inert, 0)).toBeGreaterThan(0);
    expect(closedPressure(cloud, 0, around.energy)).toBeLessThanOrEqual(around.ambient);
  });

  test('on gas sweeps air out of the headspace', () => {
    const cloud = aCloud(10);
    cloud.columns.air.fill(50_000);
    cloud.columns.leak.fill(1e-8);
    for (let step = 0; step < 24; step += 1) sweepOpen(cloud, 0, anAround());
    expect(at(cloud.columns.air, 0)).toBeLessThan(10_000);
    expect(at(cloud.columns.air, 0)).toBeGreaterThan(0);
  });
});

test('yeast makes all that it finds, in every layer', () => {
  const cloud = aCloud(10);
  cloud.columns.sugar.fill(0.5);
  const before = contentOf(cloud, 0);
  for (let step = 0; step < 400; step += 1) ferment(cloud, 0, cloud.size, anAround({ dtS: 86_400, yeastFactor: 1 }));
  expect(contentOf(cloud, 0) - before).toBeCloseTo(0.5, 6);
});

// A column of 0.5 m whose surface holds what is above it, D 3.5e-7 m2/s: M/M∞ = 1 - Σ 8/((2n+1)²π²) exp(-D(2n+1)²π²t/(4L²))
// (Crank, The Mathematics of Diffusion, ch. 4). Three layers laid on it as their own constants say must come near.
test('three layers follow a still column', () => {
  const cloud = aCloud(1);
  const around = anAround();
  const goal = around.solubility * around.pressure - OFFSET;
  const [lengthM, diffusivity] = [0.5, 3.5e-7];
  const { area, space, lnDepth, deepShare, lnTau, logitSurface, logitDeep, driven, xi } = cloud.columns;
  area[0] = 0.036;
  space[0] = 0.0195 - 0.036 * lengthM;
  [lnDepth[0], deepShare[0], driven[0], xi[0]] = [Math.log(0.05), 0.6, 0, 0];
  // Between the middles of layers of 0.05, 0.18 and 0.27 m: 0.115 and 0.225 m; from the surface 0.025 m.
  const [surface, mixing, below] = [0.025, 0.115, 0.225 * 0.6 ** 2].map((m) => m / diffusivity) as [
    number,
    number,
    number,
  ];
  const all = surface + mixing + below;
  lnTau[0] = Math.log(0.51 * all);
  logitSurface[0] = Math.log(surface / (mixing + below));
  logitDeep[0] = Math.log(below / mixing);
  fillAll(cloud, 1);
  deriveAll(cloud, 0.0195);
  for (const hours of [12, 48, 96, 192]) {
    const fresh = { ...around, dtS: 300 };
    fillAll(cloud, 1);
    for (let step = 0; step < hours * 12; step += 1) moveOpen(cloud, 0, 1, fresh);
    let left = 0;
    for (let n = 1; n < 40; n += 2) {
      const rate = (diffusivity * (n * Math.PI) ** 2) / (4 * lengthM ** 2);
      left += (8 / (n * Math.PI) ** 2) * Math.exp(-rate * hours * 3600);
    }
    expect(Math.abs((contentOf(cloud, 0) - 1) / (goal - 1) - (1 - left)), `${hours} h`).toBeLessThan(0.05);
  }
});

/**
 * Aim: the estimate is repeatable, never NaN, wide where nothing is known, and moved by what the brewer does.
 * Method: kegs made up by hand; simulated ones, which follow other laws, are judged by `test/program/evaluate.test.ts`.
 */
import process from 'node:process';
import { describe, expect, test } from 'vitest';
import { Estimator } from '../../../src/domain/estimate/estimator.ts';
import type { StepEvent } from '../../../src/domain/estimate/types.ts';
import { aFilling, aStep, begin, carbonating, HOUR_MS, onGas, SEA_LEVEL, STEP_MS, walkOn } from './kegs.ts';

const DAY = 288;
const width = ({ low, high }: { low: number; high: number }) => high - low;

describe('repeated', () => {
  test('the same seed gives the same estimate, another seed nearly the same', () => {
    expect(carbonating(300).estimate()).toEqual(carbonating(300).estimate());
    const other = carbonating(300, 400, 2).estimate();
    expect(other).not.toEqual(carbonating(300, 400).estimate());
    expect(Math.abs(other.volumes - carbonating(300, 400).estimate().volumes)).toBeLessThan(0.1);
  });

  test('a snapshot, kept as text in the middle of a check, goes on bit for bit', () => {
    const closing = (index: number) =>
      index === 300 ? { events: [closedAt(300)] } : { headspaceKpaGauge: fallen(index) };
    const whole = walkOn(carbonating(300), 300, 320, closing);
    const resumed = Estimator.resume(JSON.parse(JSON.stringify(whole.snapshot())));
    expect(resumed.estimate()).toEqual(whole.estimate());
    walkOn(whole, 320, 360, closing);
    walkOn(resumed, 320, 360, closing);
    expect(resumed.estimate()).toEqual(whole.estimate());
    expect(JSON.stringify(resumed.snapshot())).toBe(JSON.stringify(whole.snapshot()));
  });

  test.each([
    null,
    3,
    {},
    { course: {} },
    { course: null, cloud: {}, words: [] },
    { course: {}, cloud: {}, words: [] },
  ])('what is no snapshot is refused: %j', (wrong) => {
    expect(() => Estimator.resume(wrong)).toThrow('no snapshot');
  });
});

const closedAt = (index: number): StepEvent => ({ kind: 'gas-closed', atMs: index * STEP_MS });
/** A closed keg's pressure that falls as absorption makes it: 25 kPa in some hours, then standing still. */
const fallen = (index: number, from = 300) => 45 + 25 * Math.exp(-(index - from) / 18);

describe('on gas', () => {
  test('before anything is known the band is wide; it rises and closes on equilibrium', () => {
    const keg = begin();
    expect(keg.estimate().equilibriumVolumes).toBeNull();
    walkOn(keg, 0, 1, () => ({ events: onGas() }));
    walkOn(keg, 1, 2 * DAY);
    const early = keg.estimate();
    expect(width(early)).toBeGreaterThan(0.5);
    walkOn(keg, 2 * DAY, 14 * DAY);
    const late = keg.estimate();
    // 4 °C and 70 kPa: (70 + 101.325)/6.894757 · (0.01821 + 0.090115 · exp(-7.2/43.11)) - 0.003342 = 2.344, worked by hand.
    expect(Math.abs((late.equilibriumVolumes ?? 0) - 2.34)).toBeLessThan(0.03);
    expect(late.volumes).toBeGreaterThan(early.volumes);
    expect(Math.abs(late.volumes - 2.34)).toBeLessThan(0.12);
    expect(late.low <= late.volumes && late.volumes <= late.high).toBe(true);
    expect(late.gas).toBe('on');
  });

  test('mixed gas carbonates to its share of CO2', () => {
    const pure = walkOn(begin(), 0, 5 * DAY, (index) => ({ events: index === 0 ? onGas() : [] }));
    const mixed = walkOn(begin(), 0, 5 * DAY, (index) => ({ co2Ratio: 0.6, events: index === 0 ? onGas() : [] }));
    expect(mixed.estimate().volumes).toBeLessThan(0.75 * pure.estimate().volumes);
  });

  test('higher up the same gauge pressure holds less', () => {
    const high = walkOn(begin(), 0, 6 * DAY, (index) => ({
      ambientKpaAbsolute: 79.5,
      events: index === 0 ? onGas() : [],
    }));
    expect(high.estimate().volumes).toBeLessThan(carbonating(6 * DAY).estimate().volumes - 0.1);
  });

  test('time on gas before the filling was entered counts', () => {
    const long = walkOn(begin({ onGasSinceMs: -10 * 24 * HOUR_MS }), 0, 2);
    const short = walkOn(begin({ onGasSinceMs: 0 }), 0, 2);
    expect(long.estimate().volumes).toBeGreaterThan(short.estimate().volumes + 0.7);
  });

  test('years on gas before the filling was entered are taken in strides, not step by step', () => {
    const cpuOf = (work: () => void) => {
      const before = process.cpuUsage();
      work();
      const { user, system } = process.cpuUsage(before);
      return user + system;
    };
    const keg = begin({ onGasSinceMs: -3 * 365 * 24 * HOUR_MS }, 1000);
    const strides = cpuOf(() => walkOn(keg, 0, 1));
    // Step by step it would be 17,280 of them.
    expect(strides).toBeLessThan(cpuOf(() => walkOn(keg, 1, 1500)));
    expect(Math.abs(keg.estimate().volumes - 2.34)).toBeLessThan(0.1);
  });

  test('gas entered as on, but ten below its setting for an hour: no gas reaches the keg', () => {
    const keg = begin();
    keg.advance(aStep(0, { events: [...onGas(), { kind: 'regulator-set', atMs: 0, kpaGauge: 80 }] }));
    walkOn(keg, 1, 10, () => ({ headspaceKpaGauge: 60 }));
    expect(keg.estimate().disagreement).toBeNull();
    walkOn(keg, 10, 20, () => ({ headspaceKpaGauge: 60 }));
    expect(keg.estimate().disagreement).toBe('open-but-no-gas');
    walkOn(keg, 20, 22, () => ({ headspaceKpaGauge: 79 }));
    expect(keg.estimate().disagreement).toBeNull();
  });
});

describe('closed', () => {
  test('a check narrows the band and finds what the asymptote shows', () => {
    const keg = carbonating(300, 400);
    const before = keg.estimate();
    walkOn(keg, 300, 300 + 144, (index) =>
      index === 300 ? { events: [closedAt(300)] } : { headspaceKpaGauge: fallen(index) },
    );
    const after = keg.estimate();
    expect(after.gas).toBe('closed');
    expect(width(after)).toBeLessThan(0.5 * width(before));
    // After twelve hours the pressure stands at 45 kPa: 1.37e-5 · 146,325 Pa = 2.0 volumes by the chart.
    expect(Math.abs(after.volumes - 2.0)).toBeLessThan(0.1);
    expect(after.leak).toBe('none');
  });

  test('pressure that holds like an open valve is told', () => {
    const keg = carbonating(DAY, 400);
    walkOn(keg, DAY, DAY + 60, (index) => ({ events: index === DAY ? [closedAt(DAY)] : [] }));
    expect(keg.estimate().disagreement).toBe('closed-but-holds');
  });

  test('pressure that goes on to nothing is a leak, and stays one after opening', () => {
    const keg = carbonating(2 * DAY, 400);
    walkOn(keg, 2 * DAY, 2 * DAY + 60, (index) => ({
      headspaceKpaGauge: Math.max(0.2, 70 - 8 * (index - 2 * DAY)),
      events: index === 2 * DAY ? [closedAt(2 * DAY)] : [],
    }));
    expect(keg.estimate().leak).toBe('likely');
    walkOn(keg, 2 * DAY + 60, 2 * DAY + 70, (index) => ({
      events: index === 2 * DAY + 60 ? [{ kind: 'gas-opened', atMs: index * STEP_MS }] : [],
    }));
    expect(keg.estimate().leak).toBe('likely');
  });

  test('a check that ends gives back the gas that was on', () => {
    const keg = carbonating(50);
    keg.advance(aStep(50, { events: [{ kind: 'gas-check-started', atMs: 50 * STEP_MS, shaken: false }] }));
    expect(keg.estimate().gas).toBe('closed');
    keg.advance(aStep(51, { events: [{ kind: 'gas-check-ended', atMs: 51 * STEP_MS }] }));
    expect(keg.estimate().gas).toBe('on');
  });

  test('a pressure that jumps and stands still is no leak: somebody poured', () => {
    const keg = carbonating(8 * DAY);
    walkOn(keg, 8 * DAY, 8 * DAY + 120, (index) => ({
      headspaceKpaGauge: index < 8 * DAY + 60 ? 66 : 45 + 3 * (1 - Math.exp(-(index - 8 * DAY - 60) / 20)),
      events: index === 8 * DAY ? [closedAt(8 * DAY)] : [],
    }));
    expect(keg.estimate().leak).not.toBe('likely');
  });
});

test.each([1, 2, 3])('a jump that goes on is a leak that has begun, by whatever chance (%i)', (seed) => {
  const keg = carbonating(6 * DAY, 200, seed);
  walkOn(keg, 6 * DAY, 6 * DAY + 100, (index) => ({
    headspaceKpaGauge: index < 6 * DAY + 60 ? 66 : Math.max(0.5, 66 - 6 * (index - 6 * DAY - 59)),
    events: index === 6 * DAY ? [closedAt(6 * DAY)] : [],
  }));
  expect(keg.estimate().leak).toBe('likely');
});

test('a closed keg whose pressure jumps up to what the supply gave is open again, though nobody said so', () => {
  const keg = carbonating(3 * DAY);
  walkOn(keg, 3 * DAY, 3 * DAY + 140, (index) => ({
    headspaceKpaGauge: index < 3 * DAY + 60 ? fallen(index, 3 * DAY) : 70,
    events: index === 3 * DAY ? [closedAt(3 * DAY)] : [],
  }));
  expect(keg.estimate().disagreement).toBe('closed-but-holds');
  expect(keg.estimate().leak).toBe('none');
});

test('a copy goes on by itself, bit for bit as the first would have', () => {
  const keg = carbonating(50);
  const copy = keg.copy();
  const before = keg.estimate();
  walkOn(copy, 50, 90);
  expect(keg.estimate()).toEqual(before);
  expect(walkOn(keg, 50, 90).snapshot()).toEqual(copy.snapshot());
});

describe('not told', () => {
  test('without any gas event both hypotheses are kept', () => {
    const falling = walkOn(begin({}, 400), 0, 120, (index) => ({
      headspaceKpaGauge: 20 + 50 * Math.exp(-index / 30),
    }));
    expect(falling.estimate().gas).toBe('unknown');
    expect(Number.isFinite(falling.estimate().volumes)).toBe(true);
    const holding = walkOn(begin({}, 400), 0, 6 * DAY);
    expect(holding.estimate().volumes).toBeGreaterThan(1.6);
  });

  test('without any probe the band stays wide', () => {
    const blind = walkOn(begin({}, 400), 0, 5 * DAY, (index) => ({
      beerC: null,
      headspaceKpaGauge: null,
      events: index === 0 ? onGas() : [],
    }));
    expect(width(blind.estimate())).toBeGreaterThan(0.8);
    expect(blind.estimate().equilibriumVolumes).toBeNull();
  });

  test('a gap of days is walked through', () => {
    const keg = carbonating(DAY);
    keg.advance(aStep(5 * DAY));
    expect(keg.estimate().atMs).toBe((5 * DAY + 1) * STEP_MS);
    expect(keg.estimate().volumes).toBeGreaterThan(carbonating(DAY).estimate().volumes + 0.2);
  });

  test('time that was walked already is not walked again', () => {
    const keg = carbonating(DAY);
    const before = keg.estimate();
    keg.advance(aStep(10));
    expect(keg.estimate()).toEqual(before);
  });

  test('an unknown start is wider than a flat one', () => {
    expect(width(begin({ beerState: 'unknown' }, 400).estimate())).toBeGreaterThan(
      3 * width(begin({}, 400).estimate()),
    );
  });
});

describe('what was observed otherwise', () => {
  test('a sample with a gauge moves the estimate to it', () => {
    const keg = carbonating(3 * DAY, 400);
    const atMs = 3 * DAY * STEP_MS;
    keg.advance(aStep(3 * DAY, { events: [{ kind: 'sample-measured', atMs, volumes: 1.5, plusMinus: 0.08 }] }));
    expect(Math.abs(keg.estimate().volumes - 1.5)).toBeLessThan(0.12);
    expect(width(keg.estimate())).toBeLessThan(0.4);
  });

  test('so does the weight that was gained', () => {
    const weighing = (atMs: number, kg: number): StepEvent => ({ kind: 'weighed', atMs, kg, plusMinusKg: 0.002 });
    const keg = begin({}, 400);
    keg.advance(aStep(0, { events: [...onGas(), weighing(0, 24)] }));
    walkOn(keg, 1, 3 * DAY);
    const before = keg.estimate();
    // One volume in 18.5 L is 18.5 · 1.977 g = 36.6 g. The headspace was full already.
    keg.advance(aStep(3 * DAY, { events: [weighing(3 * DAY * STEP_MS, 24.0366)] }));
    const after = keg.estimate();
    expect(width(after)).toBeLessThan(0.6 * width(before));
    expect(Math.abs(after.volumes - (begin({}, 400).estimate().volumes + 1))).toBeLessThan(0.2);
  });

  test('a probe that was zeroed is believed', () => {
    const keg = carbonating(5);
    const before = keg.estimate().probeZeroPlusMinusKpa;
    keg.advance(aStep(5, { events: [{ kind: 'probe-zeroed', atMs: 5 * STEP_MS }] }));
    expect(keg.estimate().probeZeroPlusMinusKpa).toBeLessThan(0.6 * before);
  });
});

describe('the brewer', () => {
  const volumesAfter = (event: StepEvent) => {
    const keg = carbonating(DAY);
    keg.advance(aStep(DAY, { events: [event] }));
    return walkOn(keg, DAY + 1, DAY + 12).estimate().volumes;
  };
  const left = () => walkOn(carbonating(DAY), DAY, DAY + 12).estimate().volumes;

  test('who shakes gets more into the beer than one who carries, who gets more than one who waits', () => {
    const shaken = volumesAfter({ kind: 'shaken', atMs: DAY * STEP_MS, seconds: 600 });
    const moved = volumesAfter({ kind: 'moved', atMs: DAY * STEP_MS });
    expect(shaken).toBeGreaterThan(moved);
    expect(moved).toBeGreaterThan(left());
  });

  test('who uses a stone gets more, too', () => {
    expect(volumesAfter({ kind: 'stone-started', atMs: DAY * STEP_MS })).toBeGreaterThan(left() + 0.1);
  });

  test('who never purged is warned by little CO2', () => {
    const purged = walkOn(begin(), 0, 3 * DAY, (index) => ({ events: index === 0 ? onGas() : [] }));
    const never = walkOn(begin(), 0, 3 * DAY, (index) => ({
      events:
        index === 0
          ? [
              { kind: 'purged', atMs: 0, times: 0, kpaGauge: null },
              { kind: 'gas-opened', atMs: 0 },
            ]
          : [],
    }));
    expect(never.estimate().airKpa).toBeGreaterThan(50);
    expect(purged.estimate().airKpa).toBeLessThan(5);
    expect(never.estimate().volumes).toBeLessThan(purged.estimate().volumes);
  });

  test('who checks by shaking learns as much whether the shaking is entered or not', () => {
    const check = (entered: boolean) => {
      const keg = carbonating(2 * DAY, 400);
      const atMs = 2 * DAY * STEP_MS;
      const started: StepEvent = { kind: 'gas-check-started', atMs, shaken: true };
      const shaking: StepEvent = { kind: 'shaken', atMs: atMs + 60_000, seconds: 120 };
      return walkOn(keg, 2 * DAY, 2 * DAY + 8, (index) => ({
        headspaceKpaGauge: index === 2 * DAY ? 60 : 35,
        events: index === 2 * DAY ? (entered ? [started, shaking] : [started]) : [],
      })).estimate();
    };
    const before = carbonating(2 * DAY, 400).estimate();
    for (const told of [check(true), check(false)]) expect(width(told)).toBeLessThan(0.85 * width(before));
    expect(Math.abs(check(true).volumes - check(false).volumes)).toBeLessThan(0.15);
  });

  test('who vents before anything was measured changes nothing but what follows', () => {
    const keg = begin();
    const before = keg.estimate().volumes;
    keg.advance(aStep(0, { headspaceKpaGauge: null, events: [{ kind: 'vented', atMs: 0 }] }));
    expect(Math.abs(keg.estimate().volumes - before)).toBeLessThan(0.02);
  });

  test('who vents a closed keg, draws and purges again leaves a sound estimate', () => {
    const keg = walkOn(begin({ beerState: 'carbonated' }), 0, 200, (index) => {
      const atMs = index * STEP_MS;
      const deeds: Record<number, StepEvent> = {
        0: { kind: 'gas-closed', atMs },
        50: { kind: 'vented', atMs },
        100: { kind: 'drawn', atMs, litres: 2 },
        150: { kind: 'purged', atMs, times: 3, kpaGauge: 150 },
      };
      const deed = deeds[index];
      return { headspaceKpaGauge: 90 - (index >= 50 ? 40 : 0), events: deed === undefined ? [] : [deed] };
    });
    const { volumes, low, high } = keg.estimate();
    expect(low).toBeLessThan(volumes);
    expect(volumes).toBeGreaterThan(1.5);
    expect(high).toBeLessThan(3.5);
  });
});

describe('ahead', () => {
  const ahead = { beerC: 4, headspaceKpaGauge: 70, ambientKpaAbsolute: 101.325, horizonHours: 24 * 30 };

  test('hours to a window come true, within the band, by walking there', () => {
    const keg = carbonating(DAY, 400);
    const told = keg.hoursUntil({ low: 1.8, high: 2.3 }, ahead);
    expect(told).not.toBeNull();
    const hours = told?.hours ?? 0;
    walkOn(keg, DAY, DAY + Math.round(hours * 12));
    expect(Math.abs(keg.estimate().volumes - 1.8)).toBeLessThan(0.06);
    expect(told?.lowHours).toBeLessThan(hours);
    expect(told?.highHours).toBeGreaterThan(hours);
  });

  test('inside is now; out of reach is never; nonsense is unknown', () => {
    const keg = carbonating(12 * DAY);
    expect(keg.hoursUntil({ low: 1.5, high: 2.6 }, ahead)?.hours).toBe(0);
    expect(keg.hoursUntil({ low: 3, high: 3.5 }, ahead)).toBeNull();
    expect(keg.hoursUntil({ low: 2, high: 2.5 }, { ...ahead, beerC: Number.NaN })).toBeNull();
  });

  test('a goal too narrow to be met on a look is met on the way', () => {
    const keg = carbonating(DAY);
    const through = keg.hoursUntil({ low: 1.8, high: 1.8001 }, ahead);
    const into = keg.hoursUntil({ low: 1.8, high: 2.3 }, ahead);
    // Those inside already are at once in the wider goal, and never in the narrow one.
    expect(Math.abs((through?.hours ?? 0) - (into?.hours ?? 0))).toBeLessThan(0.1 * (into?.hours ?? 0));
  });

  test('beer past the window comes down to it', () => {
    const keg = walkOn(begin({ beerState: 'carbonated' }), 0, 1, () => ({ events: onGas() }));
    const told = keg.hoursUntil({ low: 1, high: 1.6 }, { ...ahead, headspaceKpaGauge: 5 });
    expect(told?.hours).toBeGreaterThan(0);
  });

  test('a forecast follows its path', () => {
    const keg = carbonating(2 * DAY, 400);
    const path = [24, 48, 96].map((hours) => ({ hours, beerC: 4, kpaGauge: 70 }));
    const points = keg.forecast(path, 101.325);
    walkOn(keg, 2 * DAY, 4 * DAY);
    expect(Math.abs((points[1]?.volumes ?? 0) - keg.estimate().volumes)).toBeLessThan(0.08);
    expect(points.map(({ hours }) => hours)).toEqual([24, 48, 96]);
    for (const { low, volumes, high } of points) expect(low < volumes && volumes < high).toBe(true);
    expect(keg.forecast([], 101.325)).toEqual([]);
  });
});

test('a window and what is above and below it share all belief', () => {
  const keg = carbonating(DAY);
  const below = keg.probabilityWithin(Number.NEGATIVE_INFINITY, 1.3);
  expect(below + keg.probabilityAbove(1.3)).toBeCloseTo(1, 9);
  const { low, high } = keg.estimate();
  expect(Math.abs(keg.probabilityWithin(low, high) - 0.9)).toBeLessThan(0.03);
});

test('a bad air pressure at the beginning is passed over', () => {
  const keg = Estimator.begin(
    aFilling(),
    { kpaAbsolute: Number.NaN, fromBarometer: false },
    { seed: 1, particles: 200 },
  );
  const sound = Estimator.begin(aFilling(), SEA_LEVEL, { seed: 1, particles: 200 });
  expect(keg.estimate()).toEqual(sound.estimate());
});

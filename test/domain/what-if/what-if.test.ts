/**
 * Aim: what would come of a temperature and a pressure, with honest risks.
 * Method: the estimate's own kegs, against the published chart's end point and against the kegs walked on step by step.
 */
import { describe, expect, test } from 'vitest';
import { estimateModel } from '../../../src/app/estimate-model.ts';
import { usualKeg } from '../../../src/domain/what-if/usual-keg.ts';
import { askWhatIf, type WhatIfAsk, type WhatIfFinding } from '../../../src/domain/what-if/what-if.ts';
import { whatIfWords } from '../../../src/domain/what-if/words.ts';
import { carbonating, STEP_MS, walkOn } from '../estimate/kegs.ts';

const UNITS = { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes' } as const;
const NO_LIMITS = { abvPercent: null, workingKpaGaugeMax: null };

const anAsk = (change: Partial<WhatIfAsk> = {}): WhatIfAsk => ({
  beerC: 4,
  headspaceKpaGauge: 70,
  ambientKpaAbsolute: 101.325,
  co2Ratio: 1,
  hours: 168,
  target: { low: 2.0, high: 2.5 },
  fromVolumes: null,
  ...change,
});
const usual = () => usualKeg(estimateModel, 0, 4, 101.325);
const ask = (change: Partial<WhatIfAsk> = {}) => askWhatIf(usual(), anAsk(change));
const says = (change: Partial<WhatIfAsk> = {}, limits: Parameters<typeof whatIfWords>[2] = NO_LIMITS) =>
  whatIfWords(anAsk(change), ask(change), limits, UNITS);
const last = ({ course }: WhatIfFinding) => course.at(-1) ?? { hours: 0, low: 0, volumes: 0, high: 0 };

describe('a keg left alone', () => {
  test('rises from flat towards what the chart says, and says so in even steps', () => {
    const finding = ask({ hours: 60 * 24 });
    expect(finding.course.map(({ hours }) => hours)).toEqual(Array.from({ length: 97 }, (_, index) => index * 15));
    // The published fit at 4 °C and 171.3 kPa gives 2.34; a little air is left.
    expect(finding.equilibriumVolumes).toBeGreaterThan(2.28);
    expect(finding.equilibriumVolumes).toBeLessThan(2.35);
    expect(last(finding).volumes).toBeGreaterThan(2.2);
    expect(last(finding).volumes).toBeLessThan(2.4);
    for (const [index, point] of finding.course.entries()) {
      expect(point.low).toBeLessThan(point.volumes);
      expect(point.volumes).toBeLessThan(point.high);
      // A quantile is read off a histogram, to a thousandth.
      expect(point.volumes).toBeGreaterThan((finding.course[index - 1]?.volumes ?? 0) - 0.001);
    }
  });

  test('of a running estimate goes as the estimate itself does when it gets there', () => {
    const estimate = carbonating(288, 1000);
    const finding = askWhatIf(estimate, anAsk({ hours: 48 }));
    walkOn(estimate, 288, 288 + 48 * 12);
    const { low, volumes, high } = estimate.estimate();
    expect(last(finding).volumes).toBeCloseTo(volumes, 1);
    expect(Math.abs(last(finding).low - low)).toBeLessThan(0.08);
    expect(Math.abs(last(finding).high - high)).toBeLessThan(0.08);
    expect(finding.atMs).toBe(288 * STEP_MS);
  });

  test('does not move the estimate it was asked of', () => {
    const estimate = carbonating(50);
    const before = estimate.estimate();
    askWhatIf(estimate, anAsk());
    expect(estimate.estimate()).toEqual(before);
  });

  test('begins with a content that is given', () => {
    const finding = ask({ fromVolumes: 2.31, hours: 24 });
    for (const name of ['low', 'volumes', 'high'] as const) expect(finding.course[0]?.[name]).toBeCloseTo(2.31, 9);
    expect(Math.abs(last(finding).volumes - 2.31)).toBeLessThan(0.03);
    expect(finding.insideIn).toEqual({ hours: 0, lowHours: 0, highHours: 0 });
    expect(finding.insideProbability).toBeGreaterThan(0.99);
  });

  test('on the edge of the window is inside it', () => {
    for (const fromVolumes of [2.0, 2.5]) expect(ask({ fromVolumes, hours: 1 }).insideIn?.hours).toBe(0);
    // A few of the kegs that it could be still ferment a little.
    expect(ask({ fromVolumes: 2.5, headspaceKpaGauge: 40 }).passingProbability).toBeLessThan(0.01);
  });

  test('falls into the window from above', () => {
    const finding = ask({ fromVolumes: 3, hours: 30 * 24 });
    expect(finding.insideIn?.hours).toBeGreaterThan(1);
    expect(finding.passingHours).toBe(0);
    expect(finding.passingProbability).toBe(1);
  });

  test('tells when it is inside as the sure count of the kegs tells', () => {
    const finding = ask({ hours: 30 * 24 });
    const { hours = 0, lowHours = 0, highHours = 0 } = finding.insideIn ?? {};
    expect(lowHours).toBeLessThan(hours);
    expect(hours).toBeLessThan(highHours);
    // One to two weeks at serving pressure; common practice, no source.
    expect(hours).toBeGreaterThan(4 * 24);
    expect(hours).toBeLessThan(16 * 24);
    // By then half of the kegs are inside, so the median has just crossed the window's foot.
    const near = finding.course.find((point) => point.hours >= hours);
    expect(Math.abs((near?.volumes ?? 0) - 2.0)).toBeLessThan(0.06);
  });
});

describe('the risk of passing the top', () => {
  test('is told with its hour where the pressure is too high for the window', () => {
    const finding = ask({ headspaceKpaGauge: 200, hours: 96 });
    expect(finding.equilibriumVolumes).toBeGreaterThan(3.9);
    expect(finding.passingProbability).toBeGreaterThan(0.3);
    const { passingHours } = finding;
    expect(passingHours).not.toBeNull();
    // At that hour the 95 % line crosses the top: one is read off the other.
    const after = finding.course.find(({ hours }) => hours >= (passingHours ?? 0));
    expect(Math.abs((after?.high ?? 0) - 2.5)).toBeLessThan(0.1);
  });

  test('is rare where the end is below it', () => {
    const finding = ask({ headspaceKpaGauge: 45 });
    expect(finding.passingProbability).toBeLessThan(0.05);
    expect(finding.passingHours).toBeNull();
  });
});

describe('in words', () => {
  test.each<[string, Partial<WhatIfAsk>, RegExp]>([
    ['in days', { hours: 20 * 24 }, /^Inside the window in about \d+ days \(.+ to .+\)\. After 20 days the beer holds/],
    [
      'not within the hours',
      { hours: 24 },
      /^It is not likely inside the window by then\. After 24 h .* on its way to/,
    ],
    ['never', { headspaceKpaGauge: 20 }, /^It ends at 1\.6\d.volumes, outside the window of 2\.00 to 2\.50.volumes/],
    ['from the start', { fromVolumes: 2.3 }, /^Likely inside the window from the start, with 2\.30 to 2\.30/],
    ['in minutes', { headspaceKpaGauge: 200, fromVolumes: 1.999, hours: 0.5 }, /in about \d+ min \(.*After 30 min/],
    ['sure', { fromVolumes: 2.3, hours: 5 }, /inside the window with more than 99 %\.$/],
    ['past already', { fromVolumes: 2.8, hours: 5 }, /It may well be past 2\.50.volumes already\.$/],
    [
      'a risk',
      { headspaceKpaGauge: 200, hours: 96 },
      /The risk that it goes past 2\.50.volumes is \d+ %; it is 5 % after \d+/,
    ],
    ['ice', { beerC: -3 }, /begins to freeze at .+: ice can burst the keg\.$/],
  ])('%s', (_name, change, told) => {
    expect(says(change)).toMatch(told);
  });

  test('a small risk has no hour, and a tiny one no word', () => {
    const finding = ask();
    const words = (passingProbability: number) =>
      whatIfWords(anAsk(), { ...finding, passingProbability, passingHours: null }, NO_LIMITS, UNITS);
    expect(words(0.03)).toMatch(/past 2\.50.volumes is 3 %\.$/);
    expect(words(0.01)).not.toContain('risk');
    const never = {
      ...finding,
      course: [],
      insideProbability: 0.001,
      insideIn: { hours: 0, lowHours: 0, highHours: 0 },
    };
    expect(whatIfWords(anAsk(), never, NO_LIMITS, UNITS)).toContain('with less than 1 %');
    expect(whatIfWords(anAsk(), { ...never, insideIn: null }, NO_LIMITS, UNITS)).toContain('holds 0.00 to 0.00');
  });

  test('a pressure that the keg is not made for is not passed over', () => {
    const limits = { abvPercent: 5, workingKpaGaugeMax: 400 };
    expect(says({ headspaceKpaGauge: 450 }, limits)).toMatch(
      /made for no more than 4\.00.bar: do not set it higher\.$/,
    );
    expect(says({ headspaceKpaGauge: 70 }, limits)).not.toContain('made for');
  });
});

test('two months cost little', () => {
  const estimate = carbonating(12, 1000);
  const began = process.cpuUsage();
  for (let turn = 0; turn < 5; turn += 1) askWhatIf(estimate, anAsk({ hours: 60 * 24 }));
  const { user } = process.cpuUsage(began);
  // Far from what it takes (about 30 ms each): the bound is there to catch a mistake, not a busy machine.
  expect(user / 5 / 1000).toBeLessThan(400);
});

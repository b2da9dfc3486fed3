/** Aim: what a plan says in the situations that people are in. The estimate behind it is the real one, with fewer particles. */
import { describe, expect, test } from 'vitest';
import { likelyWords } from '../../../src/domain/fill-plan/reason.ts';
import { aPlan, HOUR, kegsAfter, kegsHolding, kindsOf, NOW, someFacts, stepOf } from './plans.ts';

const LATER = (hours: number) => NOW + hours * HOUR;
const SURE = { dissolved: { low: 2.2, volumes: 2.25, high: 2.3 } };
const sure = kegsHolding(2.25);

describe('a keg that is right', () => {
  const plan = aPlan({ ...SURE, scouts: sure, fillAtMs: LATER(48) });

  test('needs nothing but to be left, and what the day needs', () => {
    expect(plan.possible).toBe(true);
    expect(plan.reason).toMatch(/^(Very likely|Likely).* (Time does most of it|It is held a little low)/);
    expect(kindsOf(plan)).not.toContain('check-start');
    const others = kindsOf(plan).filter((kind) => kind !== 'regulator');
    expect(others.slice(-6)).toEqual(['bottles', 'rest', 'set-up', 'look', 'fill', 'end']);
    expect(plan.insideBetween).toBeNull();
  });

  test('is never vented', () => {
    for (const { what } of plan.steps) expect(what).not.toMatch(/vent/i);
  });

  test('every step is done by somebody who is up', () => {
    for (const { by, atMs, kind } of plan.steps) {
      const hour = new Date(atMs).getUTCHours();
      if (by === 'you' && !['set-up', 'look', 'fill', 'end'].includes(kind)) expect(hour).toBeGreaterThanOrEqual(7);
    }
  });
});

describe('a keg of which too little is known', () => {
  const plan = aPlan();

  test('is checked on the way, and what follows is open', () => {
    expect(kindsOf(plan)).toContain('check-start');
    const [start] = stepOf(plan, 'check-start');
    const [end] = stepOf(plan, 'check-end');
    expect((end?.atMs ?? 0) - (start?.atMs ?? 0)).toBeGreaterThanOrEqual(5 * HOUR);
    expect((end?.atMs ?? 0) - (start?.atMs ?? 0)).toBeLessThanOrEqual(14 * HOUR);
    expect(start?.why).toMatch(/from 1\.40 to 2\.00.volumes/);
    expect(plan.reason).toContain('gas check');
  });

  test('cannot be checked without a probe, and that is said', () => {
    const without = aPlan({ mayCheck: false, othersOnGas: ['Back Lane Mild'], fillAtMs: LATER(60) });
    expect(kindsOf(without)).not.toContain('check-start');
    expect(without.possible).toBe(false);
    expect(without.reason).toContain('With a pressure probe');
    expect(without.reason).toContain('the same gas feeds Back Lane Mild');
  });

  test('is not checked again a day after it was', () => {
    const again = aPlan({ lastCheckMs: NOW - HOUR });
    for (const { atMs } of stepOf(again, 'check-start')) expect(atMs).toBeGreaterThanOrEqual(LATER(23));
  });
});

describe('a flat keg and little time', () => {
  const flat = kegsAfter(1);
  const dissolved = { low: 0.9, volumes: 1.1, high: 1.4 };

  test('is put under a higher pressure for a while, turned down in time and not vented', () => {
    const plan = aPlan({ scouts: flat, dissolved, fillAtMs: LATER(96) });
    const pressures = stepOf(plan, 'regulator');
    expect(Math.max(...pressures.map(({ value }) => value ?? 0))).toBeGreaterThan(100);
    const down = pressures.at(-1);
    expect(down?.why).toMatch(/do not vent|The pressure at which it is filled/);
    expect(down?.atMs).toBeLessThan(LATER(96 - 12));
  });

  test('comes inside its window by itself where there is time, between hours that are told', () => {
    const plan = aPlan({ scouts: flat, dissolved, fillAtMs: LATER(168) });
    expect(plan.insideBetween?.fromMs).toBeLessThan(plan.insideBetween?.likelyMs ?? 0);
    expect(plan.insideBetween?.untilMs).toBeLessThanOrEqual(LATER(168));
    expect(kindsOf(plan)).toContain('inside');
  });

  test('never above what the keg bears, and with a look at its stamp where that is not known', () => {
    const low = aPlan({ scouts: flat, dissolved, fillAtMs: LATER(96), workingKpaGaugeMax: 150 });
    for (const { value } of stepOf(low, 'regulator')) expect(value).toBeLessThanOrEqual(150);
    const unknown = aPlan({ scouts: flat, dissolved, fillAtMs: LATER(96), workingKpaGaugeMax: null });
    expect(unknown.cautions.join(' ')).toContain('stamp on the keg before you set');
  });

  test('keeps a higher pressure that is on already', () => {
    const facts = someFacts({ regulatorKpaGauge: 170 });
    const plan = aPlan({ scouts: flat, dissolved, fillAtMs: LATER(96), facts, headspaceKpaGauge: 170 });
    const [first] = stepOf(plan, 'regulator');
    expect(first?.atMs).toBeGreaterThan(NOW);
  });

  test('in half a day says that it cannot be, and what can', () => {
    const plan = aPlan({ scouts: flat, dissolved, fillAtMs: LATER(13) });
    expect(plan).toMatchObject({ possible: false });
    expect(plan.reason).toMatch(
      /^By then the beer holds no more than 1\.\d\d.volumes; it is filled from 2\.00.volumes on\./,
    );
    expect(plan.reason).toMatch(/\d days? later it is possible\.|\d\d h later it is possible\./);
  });
});

test('beer that is known to be flat is said to hold too little by then', () => {
  const dissolved = { low: 1.1, volumes: 1.2, high: 1.3 };
  const plan = aPlan({ scouts: kegsHolding(1.2), dissolved, fillAtMs: LATER(13) });
  expect(plan.reason).toMatch(
    /^By then the beer holds no more than 1\.\d\d.volumes; it is filled from 2\.00.volumes on\./,
  );
});

describe('what stands in the way', () => {
  test('too little beer', () => {
    const plan = aPlan({ beerLeftL: 4 });
    expect(plan).toMatchObject({ possible: false, probability: 0, steps: [] });
    expect(plan.reason).toBe('The keg holds 4.0\u00a0L. 12 bottles with line and foam take 6.5\u00a0L: plan fewer.');
  });

  test('an hour that is over', () => {
    expect(aPlan({ fillAtMs: NOW - HOUR }).reason).toBe('That hour is over. Choose one to come.');
  });

  test('a keg that was moved too lately', () => {
    const facts = someFacts({ rest: { sinceMs: NOW, after: 'moved' } });
    const plan = aPlan({ ...SURE, scouts: sure, facts, fillAtMs: LATER(8) });
    expect(plan.reason).toMatch(
      /^The keg was moved too lately: it needs 4.h more of rest by then\. 6.h later it is possible\./,
    );
  });

  test('a keg whose filling nobody entered counts from now', () => {
    const plan = aPlan({ ...SURE, scouts: sure, facts: someFacts({ rest: null, beer: null }), fillAtMs: LATER(8) });
    expect(plan.reason).toMatch(/^The keg was moved too lately/);
  });

  test('beer that would freeze first', () => {
    const facts = someFacts({ target: { low: 2, high: 2.5, volumes: 2.25, celsius: -4 } });
    const plan = aPlan({ facts });
    expect(plan.possible).toBe(false);
    expect(plan.reason).toMatch(/^This beer may freeze before it is at −4\.0.°C: wish for a warmer fill\.$/);
  });

  test('warm beer', () => {
    const warm = { ...SURE, scouts: sure, beerC: 14, cooling: true };
    expect(aPlan({ ...warm, fillAtMs: LATER(14) }).reason).toMatch(/^The beer is not cold enough by then\./);
    const doubtful = aPlan({ ...warm, facts: someFacts({ fridgeCelsius: 1 }), fillAtMs: LATER(24) });
    expect(doubtful.reason).toMatch(/doubtful|not cold enough|Likely|likely/);
    const plan = aPlan({ ...warm, fillAtMs: LATER(120) });
    expect(kindsOf(plan)).toContain('cold');
    expect(stepOf(plan, 'cold')[0]?.why).toMatch(/9 to 11.h/);
  });

  test('beer past its window', () => {
    const plan = aPlan({ scouts: kegsHolding(2.9), dissolved: { low: 2.8, volumes: 2.9, high: 3 } });
    expect(plan.possible).toBe(false);
    expect(plan.reason).toMatch(
      /^The beer is past its window with 2\.80 to 3\.00.volumes\. Close the gas and vent a little/,
    );
  });

  test('a keg that has yet to come down from a high pressure', () => {
    const facts = someFacts({ regulatorKpaGauge: 58 });
    const plan = aPlan({ ...SURE, scouts: sure, facts, headspaceKpaGauge: 150, fillAtMs: LATER(6) });
    expect(plan.possible).toBe(false);
  });
});

describe('the gas', () => {
  test('is opened where it is entered as closed', () => {
    const plan = aPlan({ ...SURE, scouts: sure, facts: someFacts({ gas: 'closed' }), fillAtMs: LATER(48) });
    expect(stepOf(plan, 'gas-open')).toHaveLength(1);
  });

  test('a check that goes on is gone through with, and ended early where the keg has no pressure left', () => {
    const going = { facts: someFacts({ gas: 'closed' }), checkSinceMs: NOW - 4 * HOUR };
    const plan = aPlan({ ...going, headspaceKpaGauge: 55 });
    expect(stepOf(plan, 'check-start')).toHaveLength(0);
    expect(stepOf(plan, 'check-end')[0]?.atMs).toBe(LATER(8));
    const empty = aPlan({ ...going, headspaceKpaGauge: 1 });
    expect(stepOf(empty, 'check-end')[0]?.atMs).toBe(NOW);
  });

  test('is turned a little where the keg shows something else than what was set', () => {
    const target = { low: 2.3, high: 2.8, volumes: 2.55, celsius: 2 };
    const facts = someFacts({ target, regulatorKpaGauge: 72 });
    const dissolved = { low: 2.5, volumes: 2.55, high: 2.6 };
    const base = { scouts: kegsHolding(2.55), dissolved, facts, fillAtMs: LATER(48), gasSinceMs: NOW - 24 * HOUR };
    const first = (changes: object) => stepOf(aPlan({ ...base, ...changes }), 'regulator')[0]?.what ?? null;
    expect(first({ headspaceKpaGauge: 79 })).toMatch(/^Turn the regulator a little down, until the keg shows 7\d.kPa$/);
    expect(first({ headspaceKpaGauge: 65 })).toMatch(/^Turn the regulator a little up, until/);
    expect(first({ headspaceKpaGauge: 79, gasSinceMs: NOW - HOUR })).toBeNull();
    expect(first({ headspaceKpaGauge: 73 })).toBeNull();
  });

  test('is set where nobody said what it is set to', () => {
    const facts = someFacts({ regulatorKpaGauge: null });
    const plan = aPlan({ ...SURE, scouts: sure, facts, headspaceKpaGauge: null, fillAtMs: LATER(48) });
    expect(stepOf(plan, 'regulator').at(-1)?.value).toBe(58);
  });

  test('other beers on it are named, and no higher pressure is planned', () => {
    const plan = aPlan({ scouts: kegsAfter(1), othersOnGas: ['Back Lane Mild'], fillAtMs: LATER(96) });
    for (const { value } of stepOf(plan, 'regulator')) expect(value).toBeLessThan(90);
    expect(plan.cautions.join(' ')).toContain('On the same gas: Back Lane Mild.');
  });
});

describe('cautions', () => {
  test('of too much pressure for glass, and of large bottles', () => {
    const target = { low: 3.2, high: 3.8, volumes: 3.5, celsius: 2 };
    const plan = aPlan({
      facts: someFacts({ target }),
      scouts: kegsHolding(3.5),
      dissolved: { low: 3.4, volumes: 3.5, high: 3.6 },
      bottles: [{ count: 2, litres: 2 }],
      workingKpaGaugeMax: 100,
    });
    expect(plan.cautions[0]).toMatch(/^Do not fill beer bottles with this/);
    expect(plan.cautions[1]).toMatch(/^Of bottles larger than 1.L no proof pressure is known/);
    expect(plan.cautions.join(' ')).toContain('outside the usual for filling');
    expect(plan.cautions.join(' ')).toContain('made for no more than');
  });

  test('of a cylinder that does not last, a line nobody entered, and beer nobody counted', () => {
    const plan = aPlan({ gasLeftKg: 0.01, line: null, beerLeftL: null });
    const all = plan.cautions.join(' ');
    expect(all).toContain('The cylinder holds about 10\u00a0g of CO2');
    expect(all).toContain('The line is not entered');
    expect(all).toContain('Nobody said how much beer is left');
    expect(aPlan({ gasLeftKg: null }).cautions.join(' ')).not.toContain('cylinder');
  });

  test('of a lift that no beer comes up', () => {
    const plan = aPlan({ line: { boreMm: 4.8, lengthM: 8, liftM: 9 } });
    expect(stepOf(plan, 'fill')[0]?.why).toContain('no beer comes up this line');
  });
});

test('bottles are chilled in cold sanitiser where the day before is over', () => {
  const plan = aPlan({ ...SURE, scouts: sure, fillAtMs: LATER(7), facts: someFacts({ regulatorKpaGauge: 58 }) });
  expect(stepOf(plan, 'bottles')[0]?.what).toBe('Chill the bottles in ice-cold sanitiser');
});

test('how likely it is said in plain counts', () => {
  expect([0.97, 0.9, 0.75, 0.6, 0.5, 0.2].map(likelyWords)).toEqual([
    'Very likely: 19 times in 20.',
    'Likely: nine times in ten.',
    'Likely: four times in five.',
    'Rather likely: two times in three.',
    'As likely as not.',
    'Not likely.',
  ]);
});

describe('people who are not up', () => {
  const upAt = (wanted: number) => (atMs: number) => new Date(atMs).getUTCHours() === wanted;

  test('at both ends of a check are asked for none', () => {
    expect(kindsOf(aPlan({ awakeAt: upAt(12) }))).not.toContain('check-start');
  });

  test('at all get the day’s steps at their own hours', () => {
    const plan = aPlan({ awakeAt: () => false });
    expect(stepOf(plan, 'bottles')[0]?.atMs).toBe(LATER(7 * 24 - 20));
    expect(kindsOf(plan)).not.toContain('check-start');
  });
});

describe('the whole way', () => {
  test('goes under a higher pressure without a check where that is sure enough', () => {
    const known = kegsHolding(1.75);
    const dissolved = { low: 1.7, volumes: 1.75, high: 1.8 };
    const plan = aPlan({ scouts: known, dissolved, mayCheck: false, fillAtMs: LATER(60) });
    expect(plan.reason).toMatch(/It takes a higher pressure for a while\. Turn it down in time\.|^What is in the beer/);
    expect(stepOf(plan, 'regulator').length).toBeGreaterThan(0);
  });

  test('after a check the regulator is left where it stands right already', () => {
    const facts = someFacts({ gas: 'closed', regulatorKpaGauge: 58 });
    const plan = aPlan({ facts, checkSinceMs: NOW - 4 * HOUR, headspaceKpaGauge: 50 });
    expect(stepOf(plan, 'regulator')).toHaveLength(0);
    const away = someFacts({ gas: 'closed', regulatorKpaGauge: 90 });
    expect(
      stepOf(aPlan({ facts: away, checkSinceMs: NOW - 4 * HOUR, headspaceKpaGauge: 50 }), 'regulator'),
    ).toHaveLength(1);
  });

  test('a keg whose gas nobody touched is taken as steady', () => {
    const facts = someFacts({ regulatorKpaGauge: 58 });
    const plan = aPlan({ ...SURE, scouts: sure, facts, gasSinceMs: null, headspaceKpaGauge: 59, fillAtMs: LATER(30) });
    expect(stepOf(plan, 'regulator').filter(({ atMs }) => atMs === NOW)).toHaveLength(0);
  });

  test('beer warmer than any table of solubility is planned for all the same', () => {
    const plan = aPlan({ beerC: 42, cooling: true, fillAtMs: LATER(240) });
    expect(kindsOf(plan)).toContain('cold');
  });

  test('a keg cooled at exactly one speed is said to take just that', () => {
    const constant = { hours: 10, lowHours: 9.9, highHours: 10.1 };
    const plan = aPlan({
      ...SURE,
      scouts: sure,
      beerC: 9,
      cooling: true,
      coolingConstant: constant,
      fillAtMs: LATER(96),
    });
    expect(stepOf(plan, 'cold')[0]?.why).toMatch(/in 10.h\.$/);
  });

  test('a gentle pressure is raised on the day', () => {
    const facts = someFacts({ target: { low: 2, high: 2.4, volumes: 2.2, celsius: 2 } });
    const plan = aPlan({ ...SURE, scouts: sure, facts, fillAtMs: LATER(120) });
    expect(plan.reason).toContain('held a little low');
    const [down, up] = stepOf(plan, 'regulator');
    expect(down?.value).toBeLessThan(55);
    expect(up).toMatchObject({ value: 58, atMs: LATER(116) });
  });
});

import { describe, expect, test } from 'vitest';
import { calculateCommand } from '../../src/cli/calculate.ts';
import { CALCULATE_WHATS, CalculateResult, MEASURE_UNITS } from '../../src/contract/calculate.ts';
import { unitsOf } from '../../src/physics/units.ts';
import { numberIn, readTable } from '../golden/table.ts';
import { recordedIo } from './command-io.ts';

async function run(text: string) {
  const io = recordedIo();
  const code = await calculateCommand(text.split(' ').filter(Boolean), io);
  return { code, ...io.written };
}

async function json(text: string): Promise<Record<string, unknown>> {
  const { code, out } = await run(`${text} --json`);
  expect(code).toBe(0);
  return JSON.parse(out) as Record<string, unknown>;
}

async function answerLines(
  requests: readonly unknown[],
): Promise<{ code: number; answers: Record<string, unknown>[] }> {
  const io = recordedIo([requests.map((request) => JSON.stringify(request)).join('\n')]);
  const code = await calculateCommand(['--lines'], io);
  const lines = io.written.out.trimEnd().split('\n');
  return { code, answers: lines.map((line) => JSON.parse(line) as Record<string, unknown>) };
}

async function helpExamples(): Promise<(readonly [string, string])[]> {
  const { out } = await run('--help');
  return CALCULATE_WHATS.map((what) => {
    const example = new RegExp(`^ {2}${what}\\n {6}(.+)$`, 'm').exec(out)?.[1];
    return [what, example ?? ''] as const;
  });
}

describe('carbonation', () => {
  test('every example of the help is answered, in the form that the contract promises, and in plain text', async () => {
    for (const [what, example] of await helpExamples()) {
      const answer = await json(`${what} ${example}`);
      expect(CalculateResult.parse(answer).what, what).toBe(what);
      const text = await run(`${what} ${example}`);
      expect(text.code, what).toBe(0);
      expect(text.out, what).toMatch(/\d/);
      expect(text.out, what).not.toMatch(/NaN|undefined|null/);
    }
  });

  test('a line of requests gives a line of answers, each the published cell of the beer chart', async () => {
    const { rows } = readTable('beer-chart');
    const { code, answers } = await answerLines(
      rows.map((row) => ({
        what: 'equilibrium',
        temperature: { value: numberIn(row, 'temperatureF'), unit: '[degF]' },
        pressure: { value: numberIn(row, 'psiGauge'), unit: '[psi]' },
        altitude: { value: 0, unit: 'm' },
      })),
    );
    expect(code).toBe(0);
    expect(answers).toHaveLength(rows.length);
    rows.forEach((row, index) => {
      expect(Math.abs(Number(answers[index]?.volumes) - numberIn(row, 'expected'))).toBeLessThan(0.06);
    });
  });

  test('equilibrium: absolute pressure in place of gauge, g/L beside volumes', async () => {
    const gauge = await json('equilibrium temperature=38[degF] pressure=11.3[psi] altitude=0m');
    const absolute = await json('equilibrium temperature=38[degF] pressureAbsolute=25.99594878[psi]');
    // Source: the trade's chart and a brewery's printed one: 11.3 psi at 38 °F is 2.5 volumes.
    expect(gauge.volumes).toBeCloseTo(2.5, 1);
    expect(absolute.volumes).toBeCloseTo(Number(gauge.volumes), 6);
    expect(gauge.gramsPerLitre).toBeCloseTo(Number(gauge.volumes) * 1.977, 9);
    expect(absolute.plusMinusVolumes).toBeLessThan(Number(gauge.plusMinusVolumes));
  });

  test('equilibrium: mixed gas, air left behind, a barometer and better probes all count', async () => {
    const base = 'equilibrium temperature=3Cel pressure=80kPa';
    const plain = await json(`${base} altitude=0m`);
    expect((await json(`${base} altitude=0m co2Ratio=0.6`)).volumes).toBeLessThan(0.7 * Number(plain.volumes));
    expect((await json(`${base} altitude=0m airLeft=20kPa`)).volumes).toBeLessThan(Number(plain.volumes) - 0.2);
    expect((await json(`${base} airPressure=101.325kPa`)).volumes).toBeCloseTo(Number(plain.volumes), 9);
    expect((await json(`${base} airPressure=101.325kPa`)).plusMinusVolumes).toBeLessThan(
      Number(plain.plusMinusVolumes),
    );
    expect(
      (await json(`${base} altitude=0m temperaturePlusMinusC=0.1 pressurePlusMinusKpa=1`)).plusMinusVolumes,
    ).toBeLessThan(Number(plain.plusMinusVolumes) - 0.02);
  });

  test('an altitude that nobody gave is assumed, said, and makes the answer less sure', async () => {
    const given = await json('equilibrium temperature=3Cel pressure=80kPa altitude=0m');
    const assumed = await json('equilibrium temperature=3Cel pressure=80kPa');
    expect(assumed.volumes).toBe(given.volumes);
    expect(assumed.plusMinusVolumes).toBeGreaterThan(1.3 * Number(given.plusMinusVolumes));
    expect(JSON.stringify(assumed.notes)).toContain('sea level is assumed');
    expect(JSON.stringify(given.notes)).not.toContain('assumed');
  });

  test('pressure-for is the inverse of equilibrium, mixed gas and air included', async () => {
    const conditions = 'temperature=3Cel altitude=450m co2Ratio=0.8 airLeft=3kPa';
    const { kpaGauge } = await json(`pressure-for volumes=2.4 ${conditions}`);
    expect((await json(`equilibrium pressure=${String(kpaGauge)}kPa ${conditions}`)).volumes).toBeCloseTo(2.4, 9);
  });

  test('a carbonation below what air pressure holds is answered with a warning', async () => {
    const { kpaGauge, notes } = await json('pressure-for volumes=0.5 temperature=2Cel altitude=0m');
    expect(kpaGauge).toBeLessThan(0);
    expect(JSON.stringify(notes)).toContain('Below the air pressure');
  });
});

describe('cold, filling and keeping', () => {
  test('freezing-point by volume and by weight, and the warning above it', async () => {
    // Source: Lange's Handbook, table 5.13: 6.8 % by weight (8.47 % by volume) freezes at −3.0 °C.
    const byWeight = await json('freezing-point alcoholByWeightPercent=6.8');
    const byVolume = await json('freezing-point abvPercent=8.47');
    expect(Math.abs(Number(byWeight.celsius) + 3)).toBeLessThan(0.15);
    expect(Math.abs(Number(byVolume.celsius) + 3)).toBeLessThan(0.15);
    expect(byWeight.warnCelsius).toBeCloseTo(Number(byWeight.celsius) + 0.65, 9);
  });

  test('line-flow says that the pressure is too low for the beer, or does not lift it', async () => {
    const line = 'boreMm=4.8 length=3m temperature=3Cel altitude=0m';
    const foaming = await json(`line-flow pressure=50kPa ${line} volumes=2.6 bottle=0.5L`);
    expect(foaming.breakoutKpaGauge).toBeGreaterThan(50);
    expect(JSON.stringify(foaming.notes)).toContain('foam');
    expect(foaming.secondsPerBottle).toBeCloseTo(500 / Number(foaming.millilitresPerSecond), 6);
    const stuck = await json(`line-flow pressure=5kPa ${line} lift=2m bottle=0.5L`);
    expect(stuck).toMatchObject({ millilitresPerSecond: 0, regime: 'none', secondsPerBottle: null });
    expect((await json(`line-flow pressure=21kPa ${line} fittings=1`)).regime).toBe('transition');
    expect((await run(`line-flow pressure=50kPa ${line} volumes=2.6 bottle=0.5L`)).out).toContain('foams in the line');
  });

  test('bottle-pressure warns of glass and refers to its maker', async () => {
    const { out } = await run('bottle-pressure volumes=2.5 fillTemperature=2Cel temperature=20Cel altitude=0m');
    // Separately computed: 27.8 psi with 4 % headspace.
    expect(out).toContain('27.8 psi');
    expect(out).toMatch(/maker/);
    expect(out).toMatch(/eye protection/);
  });

  test('priming-sugar tells what is in already, and that the published table is water', async () => {
    const answer = await json('priming-sugar volumes=1 litres=1 sugar=sucrose fermentedAt=20Cel altitude=0m');
    expect(answer.grams).toBeCloseTo(3.844, 2);
    expect(answer.alreadyInVolumes).toBeCloseTo(0.839, 2);
    expect(answer.totalVolumes).toBe(Number(answer.alreadyInVolumes) + Number(answer.addedVolumes));
    expect(answer.tradeTableVolumes).toBeCloseTo(0.861, 2);
    expect(JSON.stringify(answer.notes)).toContain('pure water');
    const warm = await json('priming-sugar volumes=1 litres=1 sugar=dextrose fermentedAt=30Cel altitude=0m');
    expect(warm.tradeTableVolumes).toBeNull();
    expect((await json('priming-sugar volumes=1 litres=1 sugar=dextrose-monohydrate')).alreadyInVolumes).toBeNull();
  });
});

describe('gas, absorption and cooling', () => {
  test('gas-budget adds up', async () => {
    const budget =
      'gas-budget litres=19 volumes=2.4 temperature=3Cel pressure=80kPa altitude=0m flushLitres=10 headspaceLitres=2 purges=3 purgePressure=1.5bar';
    const answer = await json(budget);
    const parts = ['carbonateGrams', 'pushGrams', 'flushGrams', 'purgeGrams'].map((name) => Number(answer[name]));
    for (const part of parts) expect(part).toBeGreaterThan(0);
    expect(answer.totalGrams).toBeCloseTo(
      parts.reduce((sum, part) => sum + part, 0),
      9,
    );
  });

  test('absorption knows still, shaken, already there, and giving off', async () => {
    const base = 'absorption temperature=4Cel pressure=85kPa altitude=0m depth=0.5m';
    const still = await json(`${base} volumes=0.9`);
    const shaken = await json(`${base} volumes=0.9 how=shaken`);
    expect(shaken.hoursToNinetyPercent).toBeLessThan(Number(still.hoursToNinetyPercent) / 10);
    const there = await json(`${base} volumes=${String(still.equilibriumVolumes)}`);
    expect(there.hoursToNinetyPercent).toBe(0);
    const over = await json(`${base} volumes=3.2`);
    expect(over.hoursToNinetyPercent).toBeNull();
    expect(over.volumesAfter).toBeLessThan(3.2);
    expect((await run(`${base} volumes=3.2`)).out).toContain('gives off gas');
    const absolute = await json('absorption temperature=4Cel pressureAbsolute=186.325kPa depth=0.5m volumes=0.9');
    expect(absolute.volumesAfter).toBeCloseTo(Number(still.volumesAfter), 9);
  });

  test('cooling takes a measured time constant or guesses one from the size', async () => {
    const base = 'cooling temperature=20Cel surroundings=2Cel goal=4Cel';
    // Separately computed: 7.0 h and 15.4 h for a 19 L keg at 7 W/(m²·K).
    expect((await json(`${base} litres=19`)).hours).toBeCloseTo(15.4, 0);
    expect((await json(`${base} timeConstantHours=9.8`)).hours).toBeCloseTo(21.5, 0);
    expect((await run('cooling temperature=4.1Cel surroundings=2Cel goal=4Cel litres=19')).out).toContain('min');
    expect((await run('cooling temperature=20Cel surroundings=2Cel goal=2.01Cel litres=58')).out).toContain('days');
  });
});

describe('what is refused', () => {
  test.each([
    ['equilibrium temperature=80Cel pressure=1bar', 'beer temperature is 80'],
    ['equilibrium temperature=4 pressure=1bar', 'temperature'],
    ['equilibrium temperature=4psi pressure=1bar', '"psi" will not do'],
    ['equilibrium temperature=4Cel', 'pressure (gauge) or pressureAbsolute'],
    ['equilibrium temperature=4Cel pressure=1bar pressureAbsolute=2bar', 'one of them'],
    ['equilibrium temperature=4Cel pressure=1bar altitude=0m airPressure=1bar', 'not both'],
    ['equilibrium temperature=4Cel pressure=1bar pressur=3', 'unknown pressur; equilibrium takes temperature'],
    ['equilibrium temperature=4Cel pressure=1bar co2Ratio=1.2', 'share of CO2'],
    ['equilibrium temperature=4Cel pressure=1bar __proto__=1', 'unknown __proto__'],
    ['equilibrium temperature=4Cel pressure=-2bar', 'absolute pressure'],
    ['pressure-for volumes=2.4', 'temperature'],
    ['pressure-for volumes=2.4[psi] temperature=3Cel', 'plain number'],
    ['pressure-for volumes=40 temperature=3Cel', 'carbonation is 40'],
    ['freezing-point', 'abvPercent or alcoholByWeightPercent'],
    ['freezing-point abvPercent=5 alcoholByWeightPercent=4', 'one of them'],
    ['co2-vapour-pressure temperature=35Cel', 'CO2 temperature is 35'],
    ['air-pressure altitude=20000m', 'altitude is 20000'],
    [
      'cooling temperature=20Cel surroundings=2Cel goal=1Cel litres=19',
      'temperature to reach, between start and surroundings is 1',
    ],
    ['cooling temperature=20Cel surroundings=2Cel goal=1Cel', 'timeConstantHours or litres'],
    ['priming-sugar volumes=1 litres=1 sugar=honey', 'sucrose'],
  ])('%s', async (line, reason) => {
    const text = await run(line);
    expect(text).toMatchObject({ code: 1, out: '' });
    expect(text.err).toContain(reason);
    const asJson = await run(`${line} --json`);
    expect(asJson).toMatchObject({ code: 1, err: '' });
    expect(JSON.parse(asJson.out)).toEqual({ error: text.err.trimEnd() });
  });

  test.each([
    '',
    'soup',
    'equilibrium temperature',
    'equilibrium =4',
    'equilibrium --xml',
    '--lines equilibrium',
    'air-pressure altitude=1m altitude=2m',
  ])('as wrong usage: %j', async (line) => {
    const { code, out, err } = await run(line);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain('--help');
  });
});

describe('--lines', () => {
  const good = { what: 'air-pressure', altitude: { value: 0, unit: 'm' } };

  test('answers in order, bad lines with their error, and fails in the end', async () => {
    const io = recordedIo([
      `${JSON.stringify(good)}\n\nnot json\n[1]\n{"what":"soup"}\n{"volumes":1}\n${JSON.stringify(good)}\n`,
    ]);
    expect(await calculateCommand(['--lines'], io)).toBe(1);
    const answers = io.written.out
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(answers).toHaveLength(6);
    expect(answers[0]?.kpaAbsolute).toBe(101.325);
    expect(answers[1]?.error).toContain('not JSON');
    expect(answers[2]?.error).toContain('JSON object');
    expect(answers[3]?.error).toContain('"soup"');
    expect(answers[4]?.error).toContain('use one of');
    expect(answers[5]?.kpaAbsolute).toBe(101.325);
    expect(io.written.err).toBe('');
  });

  test('takes chunks that end anywhere, in bytes too, and a last line without its end', async () => {
    const bytes = new TextEncoder().encode(`${JSON.stringify(good)}\n{"what":"süß"}`);
    const cut = bytes.indexOf(0xc3) + 1;
    const io = recordedIo([bytes.slice(0, 10), bytes.slice(10, cut), bytes.slice(cut)]);
    expect(await calculateCommand(['--lines'], io)).toBe(1);
    expect(io.written.out.split('\n')[0]).toContain('101.325');
    expect(io.written.out).toContain('süß');
  });

  test('a line without end is not kept in memory, and those after it are answered', async () => {
    const endless = Array.from({ length: 200 }, () => 'x'.repeat(10_000));
    const io = recordedIo([...endless, `\n${JSON.stringify(good)}\n`]);
    expect(await calculateCommand(['--lines'], io)).toBe(1);
    const lines = io.written.out.trimEnd().split('\n');
    expect(lines).toHaveLength(2);
    expect(lines[0]?.length).toBeLessThan(300);
    expect(lines[1]).toContain('101.325');
  });

  test('no lines are no failure', async () => {
    const io = recordedIo([]);
    expect(await calculateCommand(['--lines'], io)).toBe(0);
    expect(io.written.out).toBe('');
  });

  test('keys that would reach into the object’s prototype are unknown keys', async () => {
    const io = recordedIo(['{"what":"air-pressure","altitude":{"value":0,"unit":"m"},"__proto__":{"x":1}}']);
    expect(await calculateCommand(['--lines'], io)).toBe(1);
    expect(io.written.out).toContain('error');
  });
});

test('the units that the contract lists are those that physics converts', () => {
  for (const dimension of ['temperature', 'pressure', 'length', 'volume'] as const) {
    expect([...MEASURE_UNITS[dimension]].sort()).toEqual([...unitsOf(dimension)].sort());
  }
});

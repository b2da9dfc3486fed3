import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { carbonationChart } from '../../src/app/chart.ts';
import { chartCommand } from '../../src/cli/chart.ts';
import { numberIn, readTable } from '../golden/table.ts';
import { recordedIo } from './command-io.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'quietkeg-chart-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function run(...args: string[]) {
  const io = recordedIo();
  const code = await chartCommand(args, io);
  return { code, ...io.written };
}

async function page(...args: string[]): Promise<string> {
  const file = join(folder, 'chart.html');
  expect((await run(...args, '--html', file)).code).toBe(0);
  return readFile(file, 'utf8');
}

function chartOf(units: 'us' | 'metric') {
  const outcome = carbonationChart({ altitude: { value: 0, unit: 'm' }, units });
  if (!outcome.ok) throw new Error(outcome.reason);
  return outcome.chart;
}

test('every cell of the published chart that ours has too agrees with it', () => {
  const chart = chartOf('us');
  let compared = 0;
  for (const row of readTable('beer-chart').rows) {
    const cells = chart.rows[chart.temperatures.indexOf(numberIn(row, 'temperatureF'))];
    const cell = cells?.[chart.pressures.indexOf(numberIn(row, 'psiGauge'))];
    if (cell === undefined) continue;
    compared += 1;
    expect(Math.abs(cell.volumes - numberIn(row, 'expected'))).toBeLessThan(0.065);
  }
  expect(compared).toBeGreaterThan(150);
});

describe('as text', () => {
  test('the uprights hold the cells of 2.0 to 2.5 volumes and no others', async () => {
    const { out, code } = await run('--units', 'us', '--altitude', '1500[ft_i]');
    expect(code).toBe(0);
    const rows = out.split('\n').filter((line) => /^ {2,}−?\d/.test(line));
    expect(rows.length).toBeGreaterThan(20);
    for (const row of rows) {
      const [before = '', inside = '', after = ''] = row.split('|');
      const values = (text: string) => (text.match(/\d\.\d\d/g) ?? []).map(Number);
      expect(values(inside).length).toBeGreaterThan(0);
      for (const value of values(inside)) expect(value >= 2 && value <= 2.5, row).toBe(true);
      for (const value of values(before)) expect(value).toBeLessThan(2);
      for (const value of values(after)) expect(value).toBeGreaterThan(2.5);
    }
  });

  test('names the altitude, or says that sea level is assumed', async () => {
    expect((await run('--altitude', '450m')).out).toContain('450 m, air pressure 96.0 kPa;');
    expect((await run('--altitude=-5m')).out).toContain('−5 m');
    expect((await run()).out).toContain('(assumed: give --altitude)');
  });

  test('higher up the same gauge pressure holds less', async () => {
    const firstCell = (text: string) => Number(/^ *−1 [ |](\d\.\d\d)/m.exec(text)?.[1]);
    expect(firstCell((await run('--altitude', '2000m')).out)).toBeLessThan(firstCell((await run()).out) - 0.2);
  });
});

describe('as a page', () => {
  test('is whole in itself and has no colour but ink on white', async () => {
    const html = await page('--altitude', '450m');
    expect(html).not.toMatch(/https?:|src=|<script|url\(/);
    const colours = html.match(/#[0-9a-f]{3,8}\b|rgba?\(|hsl/gi) ?? [];
    expect(new Set(colours)).toEqual(new Set(['#111', '#fff']));
  });

  test('has a scope for every head, a caption, and the rules of the window around bold cells only', async () => {
    const html = await page('--units', 'us');
    const chart = chartOf('us');
    expect(html.match(/<th scope="row">/g)).toHaveLength(chart.temperatures.length);
    expect(html.match(/<th scope="col">/g)).toHaveLength(chart.pressures.length + 1);
    expect(html).toContain('<caption>');
    const bold = [...html.matchAll(/<td class="w[^"]*">(\d\.\d\d)<\/td>/g)].map((match) => Number(match[1]));
    expect(bold).toHaveLength(chart.rows.flat().filter(({ inWindow }) => inWindow).length);
    expect(Math.min(...bold)).toBeGreaterThanOrEqual(2);
    expect(Math.max(...bold)).toBeLessThanOrEqual(2.5);
    expect(html.match(/ wl/g)).toHaveLength(chart.temperatures.length);
  });

  test('fits one sheet: few enough rows for its type', () => {
    // Printed by a browser on A4 landscape the metric page of 31 rows has room for three more.
    for (const units of ['us', 'metric'] as const) expect(chartOf(units).temperatures.length).toBeLessThanOrEqual(31);
  });

  test('that cannot be written is a failure that names the file', async () => {
    const { code, err } = await run('--html', join(folder, 'missing', 'chart.html'));
    expect(code).toBe(1);
    expect(err).toContain('cannot write');
  });
});

test.each([
  [['--altitude', '450'], 2],
  [['--altitude', '450kPa'], 2],
  [['--units', 'imperial'], 2],
  [['--colour'], 2],
  [['extra'], 2],
  [['--altitude', '20000m'], 1],
])('%j ends with %d and says why', async (args, code) => {
  const answer = await run(...args);
  expect(answer).toMatchObject({ code, out: '' });
  expect(answer.err.length).toBeGreaterThan(20);
});

test('--help tells how to use it', async () => {
  expect(await run('--help')).toMatchObject({ code: 0, err: '' });
});

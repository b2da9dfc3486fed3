import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { replayCommand } from '../../src/cli/replay.ts';
import { recordedIo } from './command-io.ts';

/** Replays small folders of invented readings and looks at the lines that come out. */

const FILLED = Date.parse('2026-03-01T12:00:00Z');
const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const iso = (ms: number) => new Date(ms).toISOString();

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'quietkeg-replay-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const filled = { kind: 'keg-filled', totalLitres: 19.4, beerLitres: 18.5, beerState: 'flat', probe: 'thermowell' };
const EVENTS = [
  { ...filled, t: iso(FILLED), fermentedAtCelsius: 19, diameterMetres: 0.215 },
  { kind: 'headspace-purged', t: iso(FILLED), times: 5 },
  { kind: 'gas-opened', t: iso(FILLED + MINUTE) },
];

/** A keg at 4 °C and 80 kPa, a reading of each every five minutes. */
function readings(hours: number): object[] {
  const lines: object[] = [];
  for (let t = FILLED; t <= FILLED + hours * HOUR; t += 5 * MINUTE) {
    lines.push({ t: iso(t), keg: 'one', kind: 'beer-temperature', value: 4, unit: 'Cel' });
    lines.push({ t: iso(t), keg: 'one', kind: 'headspace-pressure', value: 0.8, unit: 'bar' });
  }
  return lines;
}

interface Line {
  readonly t: string;
  readonly equilibriumVolumes: number | null;
  readonly dissolvedVolumes: number;
  readonly low: number;
  readonly high: number;
  readonly gas: string;
  readonly leak: string;
  readonly verdict: string;
}

async function replay(
  lines: readonly object[] | string,
  more: readonly string[] = [],
  events: readonly object[] | string = EVENTS,
): Promise<{ code: number; lines: Line[]; err: string }> {
  const text = (given: readonly object[] | string) =>
    typeof given === 'string' ? given : given.map((line) => `${JSON.stringify(line)}\n`).join('');
  await writeFile(join(folder, 'readings.jsonl'), text(lines));
  await writeFile(join(folder, 'events.jsonl'), text(events));
  const io = recordedIo();
  const code = await replayCommand([folder, ...more], io);
  const out = io.written.out.split('\n').filter((line) => line !== '');
  return { code, lines: out.map((line) => JSON.parse(line)), err: io.written.err };
}

describe('replay', () => {
  test('tells every quarter hour from the filling on what is in the beer, never nothing', async () => {
    const { code, lines } = await replay(readings(24));
    expect(code).toBe(0);
    expect(lines.length).toBe(97);
    for (const [index, line] of lines.entries()) {
      expect(line.t).toBe(iso(FILLED + index * 15 * MINUTE));
      expect(line.low).toBeLessThanOrEqual(line.dissolvedVolumes);
      expect(line.dissolvedVolumes).toBeLessThanOrEqual(line.high);
    }
    const last = lines.at(-1);
    // The published fit at 4 °C and 80 kPa gauge at sea level.
    expect(last?.equilibriumVolumes).toBeCloseTo(2.48, 1);
    expect(last?.dissolvedVolumes).toBeLessThan(last?.equilibriumVolumes ?? 0);
    expect(last).toMatchObject({ gas: 'on', leak: 'none' });
    expect(lines[4]?.dissolvedVolumes).toBeLessThan(last?.dissolvedVolumes ?? 0);
  });

  test('rests on nothing later than what it has read: a longer file begins with the same lines', async () => {
    const short = await replay(readings(12));
    const long = await replay(readings(24));
    expect(long.lines.slice(0, short.lines.length - 1)).toEqual(short.lines.slice(0, -1));
  });

  test('says the same again, and the same of every reading sent twice', async () => {
    const once = await replay(readings(12));
    expect((await replay(readings(12))).lines).toEqual(once.lines);
    expect((await replay(readings(12).flatMap((line) => [line, line]))).lines).toEqual(once.lines);
  });

  test('is wide before anything is known and never narrower than what a still keg can tell', async () => {
    const { lines } = await replay(readings(48));
    const width = ({ low, high }: Line) => high - low;
    expect(width(lines[96] as Line)).toBeGreaterThan(0.2);
  });

  test('writes the curve as one page that needs nothing else', async () => {
    const page = join(folder, 'curve.html');
    const { code } = await replay(readings(6), ['--html', page]);
    expect(code).toBe(0);
    const html = await readFile(page, 'utf8');
    expect(html).toMatch(/^<!doctype html>/i);
    expect(html).not.toMatch(/(src|href)="https?:/);
  });

  test.each<[string, readonly object[] | string, readonly object[] | string, RegExp]>([
    ['a broken reading', '{"t":"2026-03-01T12:00:00Z","keg"\n', EVENTS, /readings\.jsonl.*1/],
    ['a broken event', readings(1), '{"kind":"keg-filled"}\n', /events\.jsonl.*1/],
  ])('%s is told with its file and line', async (_name, lines, events, told) => {
    const { code, err } = await replay(lines, [], events);
    expect(code).toBe(1);
    expect(err).toMatch(told);
    expect(err).not.toMatch(/\n\s+at /);
  });

  test('a folder that is not there is told, and so is wrong usage', async () => {
    const io = recordedIo();
    expect(await replayCommand([join(folder, 'nowhere')], io)).toBe(1);
    expect(io.written.err).toContain('nowhere');
    await expect(replayCommand([], recordedIo())).rejects.toThrow(/give one folder/);
  });

  test('time going backwards, wild values and gaps leave it standing', async () => {
    const lines = readings(12).map((line, index) => ({
      ...line,
      ...(index % 37 === 5 ? { value: 1e9 } : {}),
      ...(index % 41 === 7 ? { t: '1970-01-01T00:00:00.000Z' } : {}),
    }));
    const { code, lines: out } = await replay(lines.filter((_line, index) => index < 60 || index > 120));
    expect(code).toBe(0);
    for (const { low, dissolvedVolumes, high } of out) {
      expect([low, dissolvedVolumes, high].every(Number.isFinite)).toBe(true);
    }
  });
});

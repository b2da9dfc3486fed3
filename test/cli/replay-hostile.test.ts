/**
 * Aim: whatever a folder holds, a replay ends with a clear word or with an honest band, and never with a stack trace.
 * Method: folders that are empty, cut short, contradictory or absurd.
 */
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { replayCommand } from '../../src/cli/replay.ts';
import { ReplayLine } from '../../src/contract/index.ts';
import { recordedIo } from './command-io.ts';

const FILLED = Date.parse('2026-03-01T12:00:00Z');
const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const at = (ms: number) => new Date(FILLED + ms).toISOString();

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'quietkeg-hostile-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const filled = (ms = 0, change: object = {}) => ({
  t: at(ms),
  kind: 'keg-filled',
  totalLitres: 19.4,
  beerLitres: 18.5,
  beerState: 'flat',
  probe: 'thermowell',
  ...change,
});
const EVENTS = [filled(), { t: at(0), kind: 'headspace-purged', times: 5 }, { t: at(MINUTE), kind: 'gas-opened' }];

/** Beer at 4 °C under 80 kPa, each heard every ten minutes. */
function readings(fromMs = 0, untilMs = 2 * HOUR): object[] {
  const lines: object[] = [];
  for (let ms = fromMs; ms <= untilMs; ms += 10 * MINUTE) {
    lines.push({ t: at(ms), kind: 'beer-temperature', value: 4 });
    lines.push({ t: at(ms), kind: 'headspace-pressure', value: 80 });
  }
  return lines;
}
const jsonl = (lines: readonly object[]) => lines.map((line) => `${JSON.stringify(line)}\n`).join('');

async function replay(events: readonly object[] | string, heard: readonly object[] | string) {
  const text = (given: readonly object[] | string) => (typeof given === 'string' ? given : jsonl(given));
  await writeFile(join(folder, 'events.jsonl'), text(events));
  await writeFile(join(folder, 'readings.jsonl'), text(heard));
  return run();
}

async function run() {
  const io = recordedIo();
  const code = await replayCommand([folder], io);
  const lines = io.written.out
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => ReplayLine.parse(JSON.parse(line)));
  return { code, lines, err: io.written.err };
}

const badEvent = (change: object) => [...EVENTS, { t: at(HOUR), ...change }];
const BROKEN: readonly [string, readonly object[] | string, readonly object[] | string, RegExp][] = [
  ['both files empty', '', '', /events\.jsonl has no keg-filled; say when/],
  ['no readings', EVENTS, '', /readings\.jsonl has no usable reading/],
  ['only blank lines', EVENTS, '\n\r\n  \n', /readings\.jsonl has no usable reading/],
  ['no filling', [{ t: at(0), kind: 'gas-opened' }], readings(), /has no keg-filled/],
  ['half a line', EVENTS, `${jsonl(readings())}{"t":"2026-03-01T1`, /readings\.jsonl:27: this is no JSON/],
  ['a line that is no object', EVENTS, '[]\n', /readings\.jsonl:1: this is no object/],
  ['a line that is null', 'null\n', readings(), /events\.jsonl:1: this is no object/],
  ['binary', EVENTS, '\u0000\u0001\ufffd\n', /readings\.jsonl:1: this is no JSON/],
  ['a line without an end', EVENTS, 'x'.repeat(300_000), /readings\.jsonl:1: the line is longer/],
  [
    'a misspelt kind',
    EVENTS,
    [{ t: at(0), kind: 'beer-temprature', value: 4 }],
    /:1: kind: .* did you mean beer-temperature/,
  ],
  ['no time', EVENTS, [{ kind: 'beer-temperature', value: 4 }], /:1: t: /],
  [
    'a day that is none',
    EVENTS,
    [{ t: '2026-02-30T12:00:00Z', kind: 'beer-temperature', value: 4 }],
    /:1: t: give a time/,
  ],
  ['a value in words', EVENTS, [{ t: at(0), kind: 'beer-temperature', value: 'four' }], /:1: value: /],
  [
    'a value beyond any number',
    EVENTS,
    '{"t":"2026-03-01T12:00:00Z","kind":"beer-temperature","value":1e999}\n',
    /:1: value: /,
  ],
  ['a unit of another quantity', EVENTS, [{ t: at(0), kind: 'beer-temperature', value: 4, unit: 'bar' }], /:1: .*bar/],
  [
    'negative litres',
    badEvent({ kind: 'beer-drawn', litres: -5 }),
    readings(),
    /events\.jsonl:4: litres: must be more than 0/,
  ],
  [
    'negative seconds',
    badEvent({ kind: 'keg-shaken', seconds: -1 }),
    readings(),
    /events\.jsonl:4: seconds: must be at least 0/,
  ],
  [
    'huge litres',
    badEvent({ kind: 'beer-drawn', litres: 1e12 }),
    readings(),
    /events\.jsonl:4: litres: must be at most 1000/,
  ],
  [
    'more beer than keg',
    [filled(0, { beerLitres: 30 })],
    readings(),
    /events\.jsonl:1: beerLitres: 30 L of beer do not go/,
  ],
  ['two times that differ', badEvent({ kind: 'gas-closed', at: at(2 * HOUR) }), readings(), /events\.jsonl:4: t says/],
  [
    'a silence of a year',
    EVENTS,
    [...readings(), ...readings(400 * DAY, 400 * DAY + HOUR)],
    /readings\.jsonl:2[78]: this reading comes \d+ days after/,
  ],
];

describe('is told what is wrong, where, and what to do', () => {
  test.each(BROKEN)('%s', async (_name, events, heard, told) => {
    const { code, err } = await replay(events, heard);
    expect(code).toBe(1);
    expect(err).toMatch(told);
    expect(err).not.toMatch(/\n\s+at |undefined|\[object|NaN/);
  });

  test.each(['events.jsonl', 'readings.jsonl'])('without %s', async (missing) => {
    const other = missing === 'events.jsonl' ? 'readings.jsonl' : 'events.jsonl';
    await writeFile(join(folder, other), jsonl(missing === 'events.jsonl' ? readings() : EVENTS));
    const { code, err } = await run();
    expect(code).toBe(1);
    expect(err).toContain(`${missing} cannot be read`);
    await mkdir(join(folder, missing));
    expect((await run()).err).toContain('is no file');
  });

  test('what stands before a broken line is still said', async () => {
    const { code, lines } = await replay(EVENTS, `${jsonl(readings())}oops\n`);
    expect(code).toBe(1);
    expect(lines.length).toBeGreaterThan(7);
  });
});

const during = (...more: readonly object[]) => [...EVENTS, ...more];
const ABSURD: readonly [string, readonly object[], readonly object[]][] = [
  [
    'entries before the filling',
    [{ t: at(-DAY), kind: 'gas-closed' }, { t: at(-9 * DAY), kind: 'beer-drawn', litres: 900 }, ...EVENTS],
    readings(),
  ],
  ['a filling long after the readings begin', EVENTS, [...readings(-2 * DAY, -2 * DAY + HOUR), ...readings(-HOUR)]],
  ['entries in the wrong order', EVENTS.toReversed(), readings()],
  [
    'the gas opened, closed and opened in one minute',
    during(
      { t: at(HOUR), kind: 'gas-closed' },
      { t: at(HOUR), kind: 'gas-opened' },
      { t: at(HOUR), kind: 'gas-closed' },
    ),
    readings(),
  ],
  [
    'ends of what never began',
    during({ t: at(HOUR), kind: 'gas-check-ended' }, { t: at(HOUR), kind: 'fill-ended' }),
    readings(),
  ],
  [
    'more beer drawn than there was',
    during({ t: at(HOUR), kind: 'beer-drawn', litres: 1000 }, { t: at(HOUR), kind: 'beer-drawn', litres: 1000 }),
    readings(),
  ],
  ['filled three times over', [filled(), filled(MINUTE), filled(HOUR, { beerState: 'carbonated' })], readings()],
  ['a keg of half a litre', [filled(0, { totalLitres: 0.5, beerLitres: 0.5 })], readings()],
  ['a keg of a thousand', [filled(0, { totalLitres: 1000, beerLitres: 0 })], readings()],
  ['on gas since years ago', [filled(0, { onGasSince: '1999-01-01T00:00:00Z' })], readings()],
  [
    'at the top of the world',
    [filled(0, { altitudeMetres: 8849, fermentedAtCelsius: 60, beerCelsius: -10 })],
    readings(),
  ],
  ['purged with a vacuum', during({ t: at(HOUR), kind: 'headspace-purged', times: 50, kpaGauge: -100 }), readings()],
  [
    'a sample of ten volumes',
    during({ t: at(HOUR), kind: 'sample-measured', volumes: 10, plusMinus: 0.001 }),
    readings(),
  ],
  [
    'weighed twice, a ton apart',
    during({ t: at(HOUR), kind: 'keg-weighed', kg: 20 }, { t: at(HOUR + MINUTE), kind: 'keg-weighed', kg: 1900 }),
    readings(),
  ],
  ['a barometer in the vacuum', EVENTS, [...readings(), { t: at(HOUR), kind: 'ambient-pressure', value: 0 }]],
  [
    'sentinels only',
    EVENTS,
    [
      ...readings().map((line, index) => ({ ...line, value: index % 2 === 0 ? -127 : -999 })),
      ...readings(2 * HOUR, 3 * HOUR),
    ],
  ],
  ['huge values', EVENTS, readings().flatMap((line) => [line, { ...line, value: 1e308 }, { ...line, value: -1e308 }])],
  ['times that go backwards', EVENTS, readings().toReversed()],
  [
    'times that leap and come back',
    EVENTS,
    readings().flatMap((line, index) =>
      index % 5 === 2 ? [line, { ...line, t: at(3000 * DAY + index * 99 * DAY) }] : [line],
    ),
  ],
  [
    'all at one moment',
    EVENTS,
    [
      ...Array.from({ length: 300 }, (_, index) => ({ t: at(HOUR), kind: 'headspace-pressure', value: index })),
      ...readings(),
    ],
  ],
  ['values of null', EVENTS, [...readings().map((line) => ({ ...line, value: null })), ...readings()]],
  ['the same folder twice over', during(...EVENTS), [...readings(), ...readings()]],
];

describe('has an honest band', () => {
  test.each(ABSURD)(
    '%s',
    async (_name, events, heard) => {
      const { code, lines, err } = await replay(events, heard);
      expect(err).not.toMatch(/\n\s+at |undefined|\[object|NaN/);
      expect(code).toBe(0);
      expect(lines.length).toBeGreaterThan(3);
      for (const { low, dissolvedVolumes, high } of lines) {
        expect(low).toBeGreaterThanOrEqual(0);
        expect(low).toBeLessThanOrEqual(dissolvedVolumes);
        expect(dissolvedVolumes).toBeLessThanOrEqual(high);
        expect(high).toBeLessThan(12);
        // Two hours of readings, of whatever kind, make nobody sure.
        expect(high - low).toBeGreaterThan(0.05);
      }
      const times = lines.map(({ t }) => Date.parse(t));
      expect(times).toEqual(times.toSorted((a, b) => a - b));
      // Two months on gas before the first reading are walked through at once.
    },
    30_000,
  );
});

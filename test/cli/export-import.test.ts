import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { exportCommand } from '../../src/cli/export.ts';
import { importCommand } from '../../src/cli/import.ts';
import { replayCommand } from '../../src/cli/replay.ts';
import { HOUR, iso, MINUTE } from '../support/builders.ts';
import { type KeptFolder, keptFolder, ran } from './kept-folder.ts';

/**
 * Aim: what goes out comes in again, whole and alike, and whatever is wrong with a file is told with its line.
 * Method: a data folder that a service left, the commands themselves, and an empty folder on the other side.
 */

const BEGAN = Date.UTC(2026, 2, 1, 12);
let base = '';
const opened: KeptFolder[] = [];
const at = (...names: string[]) => join(base, ...names);

beforeEach(() => {
  base = mkdtempSync(join(tmpdir(), 'quietkeg-transfer-'));
});
afterEach(async () => {
  for (const folder of opened.splice(0)) await folder.close();
  rmSync(base, { recursive: true });
});

function must<T>(
  outcome: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly detail: string },
): T {
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
}

/** A keg with a past: entries of every subject, mapped and calibrated probes, late, doubled and odd readings. */
async function richFolder(name = 'rich'): Promise<KeptFolder> {
  const folder = await keptFolder(at(name), BEGAN);
  opened.push(folder);
  const { kegs, places, probes, clock } = folder;
  must(places.putSite({ altitudeM: 430 }));
  must(places.putPlace('fridge', { name: 'Garage fridge' }));
  must(places.putSupply('gas', { name: 'Big cylinder', cylinderKg: 6 }));
  must(kegs.putKeg('one', { name: 'Nearest', capacityL: 19.5 }));
  must(kegs.putKeg('two', {}));
  must(
    probes.put('one.headspace-pressure', {
      ...{ topic: 'garage/press', pointer: '/bar', unit: 'bar', quantity: 'headspace-pressure', of: 'one' },
      ...{
        reference: 'absolute',
        place: null,
        timeUnit: null,
        availability: { topic: 'garage/status', online: null, offline: 'gone' },
      },
      calibration: [{ from: iso(BEGAN), offset: 0.5, gain: 1.01 }],
    }),
  );
  must(
    probes.put('spare-thermometer', {
      ...{ topic: 'garage/spare', pointer: null, unit: '[degF]', quantity: 'beer-temperature', of: 'one' },
      ...{ reference: null, place: 'wall', timeUnit: null, availability: null, calibration: [] },
    }),
  );
  const enter = (kind: object, minutes: number) =>
    must(kegs.addEvent('one', { at: iso(BEGAN + minutes * MINUTE), ...kind } as never));
  must(
    kegs.startBatch('one', {
      ...{ at: iso(BEGAN), name: 'Ladder Shed Pale', abvPercent: 4.6 },
      beerState: 'flat',
      probe: 'thermowell',
    }),
  );
  enter({ kind: 'fridge-set', celsius: 2, place: 'fridge' }, 1);
  enter({ kind: 'regulator-set', kpaGauge: 80, supply: 'gas' }, 1);
  enter({ kind: 'headspace-purged', times: 5, kpaGauge: 100 }, 1);
  enter({ kind: 'gas-opened' }, 2);
  enter({ kind: 'note', text: '=cmd|"look", she said\nand left' }, 3);
  for (let minute = 0; minute < 300; minute += 1) {
    const time = iso(BEGAN + minute * MINUTE);
    const say = (topic: string, value: number) => folder.hear(topic, JSON.stringify({ value, time }));
    clock.advance(MINUTE);
    say('probes/one/beer-temperature', Number((18 - minute / 20).toFixed(2)));
    folder.hear('garage/press', JSON.stringify({ bar: 1.8 + minute / 3000 }));
    say('garage/spare', 64 - minute / 11);
    say('probes/two/beer-temperature', 4);
    say('probes/place/fridge/air-temperature', -1.5);
    say('probes/gas/gas/regulator-pressure', 80.1);
    if (minute % 10 === 0) say('probes/site/ambient-pressure', 96.3);
    // Twice the same, and another value of the same moment.
    if (minute % 7 === 0) say('probes/one/beer-temperature', Number((18 - minute / 20).toFixed(2)));
    if (minute % 50 === 0) say('probes/one/beer-temperature', 1 / 3);
  }
  // Late by hours.
  for (const minute of [10.5, 4.25]) {
    clock.advance(1000);
    folder.hear('probes/one/beer-temperature', JSON.stringify({ value: 17, time: iso(BEGAN + minute * MINUTE) }));
  }
  await folder.flush();
  return folder;
}

const files = (folder: string) =>
  Object.fromEntries(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'utf8')]));
const exported = (data: string, to: string, more: string[] = []) =>
  ran(exportCommand, [at(to), '--keg', 'one', '--data', at(data), ...more]);
const imported = (from: string, data: string, more: string[] = []) =>
  ran(importCommand, [from, '--data', at(data), ...more]);

describe('out and in again', () => {
  test.each([[[]], [['--with-received']], [['--from', iso(BEGAN + HOUR), '--to', iso(BEGAN + 3 * HOUR)]]])(
    'export, import into an empty instance, export: the same files, with %j',
    async (options) => {
      await richFolder();
      expect(await exported('rich', 'first', options)).toMatchObject({ code: 0, err: '' });
      expect(await imported(at('first'), 'empty')).toMatchObject({ code: 0, err: '' });
      expect(await exported('empty', 'second', options)).toMatchObject({ code: 0 });
      expect(Object.keys(files(at('first')))).toEqual(['events.jsonl', 'keg.json', 'readings.jsonl']);
      expect(files(at('second'))).toEqual(files(at('first')));
    },
  );

  test('an import again changes nothing, and what is here already stays', async () => {
    await richFolder();
    await exported('rich', 'first');
    await imported(at('first'), 'other');
    const again = await imported(at('first'), 'other', ['--json']);
    expect(JSON.parse(again.out)).toMatchObject({
      entries: { read: 6, added: 0, known: 6 },
      readings: { stored: 0 },
      complete: true,
    });
    const here = await keptFolder(at('other'), BEGAN);
    opened.push(here);
    must(here.kegs.putKeg('one', { name: 'Renamed here' }));
    must(here.kegs.describeBatch('entry-1', { name: 'Named here' }));
    await imported(at('first'), 'other');
    await exported('other', 'second');
    const about = JSON.parse(readFileSync(at('second', 'keg.json'), 'utf8'));
    expect(about.keg.name).toBe('Renamed here');
    expect(about.batches).toMatchObject([{ name: 'Named here', abvPercent: 4.6 }]);
  });

  test('a folder made by hand comes in, and twice is once', async () => {
    mkdirSync(at('hand'));
    writeFileSync(
      at('hand', 'events.jsonl'),
      `${JSON.stringify({ t: iso(BEGAN), keg: 'three', kind: 'keg-filled', totalLitres: 19, beerLitres: 18 })}\n` +
        `${JSON.stringify({ t: iso(BEGAN), kind: 'regulator-set', value: 12, unit: '[psi]' })}\n`,
    );
    writeFileSync(
      at('hand', 'readings.jsonl'),
      `${JSON.stringify({ t: iso(BEGAN), kind: 'beer-temperature', value: 40, unit: '[degF]' })}\n\n` +
        `${JSON.stringify({ t: iso(BEGAN), kind: 'beer-temperature', value: null })}\n`,
    );
    const first = await imported(at('hand'), 'new');
    expect(first.err).toBe('quietkeg import: readings.jsonl:3: readings without a value were passed over\n');
    const again = await imported(at('hand'), 'new', ['--json']);
    expect(JSON.parse(again.out)).toMatchObject({ entries: { added: 0, known: 2 }, readings: { stored: 0, known: 1 } });
    expect((await ran(exportCommand, [at('out'), '--keg', 'three', '--data', at('new')])).code).toBe(0);
    expect(files(at('out'))['readings.jsonl']).toContain('"value":4.444444444444445,"unit":"Cel"');
    expect(files(at('out'))['events.jsonl']).toMatch(/"kind":"regulator-set","kpaGauge":82\.737/);
  });

  test('an exported folder can be replayed; its calibration and altitude count', async () => {
    await richFolder();
    await exported('rich', 'first');
    const replayed = await ran(replayCommand as typeof importCommand, [at('first')]);
    expect(replayed).toMatchObject({ code: 0, err: '' });
    const last = JSON.parse(replayed.out.trim().split('\n').at(-1) ?? '');
    // 1.9 bar absolute, calibrated, less 96.3 kPa of air: 96 kPa gauge; taken for gauge it would be twice as much.
    expect(last.equilibriumVolumes).toBeGreaterThan(2.4);
    expect(last.equilibriumVolumes).toBeLessThan(3.4);
  });

  test('order of arrival is kept with --with-received', async () => {
    await richFolder();
    await exported('rich', 'first', ['--with-received']);
    const lines = (files(at('first'))['readings.jsonl'] ?? '')
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(lines.slice(-2).map(({ t }) => t)).toEqual([iso(BEGAN + 10.5 * MINUTE), iso(BEGAN + 4.25 * MINUTE)]);
    const received = lines.map((line) => line.received);
    expect(received).toEqual(received.toSorted());
    expect(new Set(lines.map(({ timeFrom }) => timeFrom))).toEqual(new Set(['device', 'receipt']));
  });
});

describe('tables', () => {
  test('text that looks like a formula gets an apostrophe, numbers stay numbers', async () => {
    await richFolder();
    expect(await exported('rich', 'table', ['--format', 'csv'])).toMatchObject({ code: 0 });
    const { 'readings.csv': readings = '', 'events.csv': events = '' } = files(at('table'));
    expect(readings).toContain(`${iso(BEGAN)},one,air-temperature,-1.5,Cel,\r\n`);
    expect(events).toContain(`,"'=cmd|""look"", she said\nand left",`);
  });

  test('the readings of a table come in as they went out', async () => {
    await richFolder();
    await exported('rich', 'first');
    await exported('rich', 'table', ['--format', 'csv', '--with-received']);
    // Keg and probes first: a table does not say how probes are read.
    rmSync(at('first', 'readings.jsonl'));
    await imported(at('first'), 'empty');
    expect(await imported(at('table', 'readings.csv'), 'empty')).toMatchObject({ code: 0, err: '' });
    await exported('empty', 'back', ['--format', 'csv', '--with-received']);
    expect(files(at('back'))['readings.csv']).toBe(files(at('table'))['readings.csv']);
  });

  test('a table of somebody else comes in by a mapping', async () => {
    writeFileSync(at('log.csv'), 'When;Beer F;Gauge\n2026-03-01 12:00;39,2;12\n2026-03-01 12:10;;11,5\n');
    const options = ['--keg', 'one', '--time', 'When', '--utc-offset', '+01:00', '--decimal-comma'];
    const columns = ['--columns', 'Beer F=beer-temperature:[degF],Gauge=headspace-pressure:[psi]'];
    expect(await imported(at('log.csv'), 'new', [...options, ...columns])).toMatchObject({ code: 0, err: '' });
    await exported('new', 'out');
    expect(files(at('out'))['readings.jsonl']?.split('\n')[0]).toBe(
      `{"t":"2026-03-01T11:00:00.000Z","keg":"one","kind":"beer-temperature","value":4.000000000000002,"unit":"Cel"}`,
    );
    expect(files(at('out'))['readings.jsonl']?.trim().split('\n')).toHaveLength(3);
  });
});

const good = JSON.stringify({ t: iso(BEGAN), keg: 'one', kind: 'beer-temperature', value: 4 });
const line = (change: object) => JSON.stringify({ ...JSON.parse(good), ...change });

describe('what is wrong with a line is told', () => {
  test.each([
    ['{"t":', /readings.ndjson:2: this is no JSON: .*give one object a line/],
    ['[1]', /readings.ndjson:2: this is no object/],
    [line({ kind: 'beer-temprature' }), /:2: kind: "beer-temprature" is none; did you mean beer-temperature\?/],
    [line({ value: 'cold' }), /:2: value: must be a number/],
    [line({ value: 95 }), /:2: 95 Cel is outside what beer-temperature can be/],
    [line({ unit: 'bar' }), /:2: beer-temperature is a temperature, but bar is a unit of pressure/],
    [line({ unit: 'F' }), /:2: unit F is unknown/],
    [line({ t: 'yesterday' }), /:2: t: give a time such as/],
    [line({ t: '2999-01-01T00:00:00Z' }), /:2: t: .* lies in the future or before 1970; correct the time/],
    [line({ keg: 'gas' }), /:2: keg: place, gas and site are no keg ids/],
    [line({ kind: 'regulator-set', value: 9e9 }), /:2: kpaGauge: must be at most 2000/],
    [`{"t":"${iso(BEGAN)}","keg":"one","kind":"note","text":"x","at":"${iso(0)}"}`, /:2: t says .* and at says/],
    ['x'.repeat(70_000), /readings.ndjson:2: the line is longer than/],
  ])('of the line %s', async (bad, told) => {
    writeFileSync(at('readings.ndjson'), `${good}\n${bad}\n${good}\n`);
    const { code, out, err } = await imported(at('readings.ndjson'), 'new');
    expect(err).toMatch(told);
    expect(err).toContain('nothing was imported; correct these lines, or say --skip-bad');
    expect([code, out]).toEqual([1, '']);
    expect(readdirSync(base)).not.toContain('new');
  });
});

describe('what is wrong is told', () => {
  test('--skip-bad imports the rest, and many bad lines are counted', async () => {
    const bad = Array.from({ length: 50 }, () => '{"t":').join('\n');
    writeFileSync(at('readings.ndjson'), `${good}\n${bad}\n${line({ value: 5 })}\n`);
    const { code, out, err } = await imported(at('readings.ndjson'), 'new', ['--skip-bad']);
    expect(code).toBe(0);
    expect(out).toContain('0 entries and 2 readings are new');
    expect(err.trim().split('\n')).toHaveLength(21);
    expect(err).toContain('and 30 more lines like these');
  });

  test('--check changes nothing', async () => {
    writeFileSync(at('readings.ndjson'), `${good}\n`);
    expect(await imported(at('readings.ndjson'), 'new', ['--check'])).toMatchObject({
      code: 0,
      out:
        /1 readings can be imported/.exec('1 readings can be imported') && expect.stringContaining('can be imported'),
    });
    expect(readdirSync(base)).not.toContain('new');
  });

  test('lines that name no keg need --keg', async () => {
    writeFileSync(at('readings.ndjson'), `{"t":"${iso(BEGAN)}","kind":"beer-temperature","value":4}\n`);
    expect((await imported(at('readings.ndjson'), 'new')).err).toMatch(/:1: keg: it names none; say which with --keg/);
    expect((await imported(at('readings.ndjson'), 'new', ['--keg', 'one'])).code).toBe(0);
  });

  test('a probe that is not known where it goes is refused with its line', async () => {
    writeFileSync(at('readings.ndjson'), `${good}\n${line({ probe: 'nobody' })}\n`);
    const { code, err } = await imported(at('readings.ndjson'), 'new');
    expect(err).toMatch(/readings.ndjson:2: probe: nobody is not known here; leave it out, or map it before importing/);
    expect(code).toBe(1);
  });
});

describe('what is wrong with a file is told', () => {
  test.each([
    ['a path that is not there', () => at('nowhere'), /nowhere is not there/],
    ['a folder without the files', () => base, /has neither events.jsonl nor readings.jsonl/],
    [
      'a file of an unknown kind',
      () => {
        writeFileSync(at('x.bin'), 'x');
        return at('x.bin');
      },
      /say --format ndjson or --format csv/,
    ],
    [
      'an empty file',
      () => {
        writeFileSync(at('x.ndjson'), '');
        return at('x.ndjson');
      },
      /holds no reading and no entry/,
    ],
    [
      'a table without columns that are known',
      () => {
        writeFileSync(at('x.csv'), 'a,b\n1,2\n');
        return at('x.csv');
      },
      /x.csv:1: there is no column for the time/,
    ],
    [
      'a damaged keg.json',
      () => {
        writeFileSync(at('keg.json'), '{');
        writeFileSync(at('events.jsonl'), '');
        return base;
      },
      /keg.json is no JSON/,
    ],
    [
      'a keg.json of a newer version',
      () => {
        writeFileSync(at('keg.json'), '{"format":2}');
        writeFileSync(at('events.jsonl'), '');
        return base;
      },
      /written by a newer version/,
    ],
  ])('of %s', async (_, make, told) => {
    const { code, err } = await imported(make(), 'new');
    expect(err).toMatch(told);
    expect(code).toBe(1);
  });

  test('of an export', async () => {
    expect((await exported('nothing', 'out')).err).toMatch(
      /nothing is kept in .*nothing; name the folder of the service with --data/,
    );
    await richFolder();
    const unknown = await ran(exportCommand, [at('out'), '--keg', 'nine', '--data', at('rich')]);
    expect(unknown).toMatchObject({
      code: 1,
      err: 'quietkeg export: nothing is known of a keg nine; known are one, two\n',
    });
    mkdirSync(at('full'));
    writeFileSync(at('full', 'mine.txt'), 'x');
    expect((await exported('rich', 'full')).err).toMatch(/full is not empty; name a new folder, or an empty one/);
    mkdirSync(at('empty-one'));
    expect((await exported('rich', 'empty-one')).code).toBe(0);
  });
});

test('progress is shown on a terminal only', async () => {
  await richFolder();
  const shown = await ran(exportCommand, [at('out'), '--keg', 'one', '--data', at('rich')], { terminal: true });
  expect(shown.err).toMatch(/\rwritten 100 %|\rwritten 99 %/);
  const brought = await ran(importCommand, [at('out'), '--data', at('new')], { terminal: true });
  expect(brought.err).toMatch(/\rlooked through 100 %.*\rimported 100 %/s);
});

test('whoever stops them finds nothing half done', async () => {
  await richFolder();
  const stopped = { stopAsked: Promise.resolve() };
  const half = await ran(exportCommand, [at('half'), '--keg', 'one', '--data', at('rich')], stopped);
  expect(half).toEqual({ code: 1, out: '', err: 'quietkeg export: stopped before the end; nothing was written\n' });
  expect(readdirSync(base)).not.toContain('half');
  await exported('rich', 'whole');
  const none = await ran(importCommand, [at('whole'), '--data', at('new')], stopped);
  expect(none).toEqual({ code: 1, out: '', err: 'quietkeg import: stopped before the end; nothing was imported\n' });
  expect(readdirSync(base)).not.toContain('new');
});

test('an export says what it cannot hold because only minutes are left of it', async () => {
  const folder = await richFolder();
  const gone = await folder.store.retire('one.beer-temperature', BEGAN, BEGAN + HOUR);
  expect(gone).toBeGreaterThan(60);
  expect((await exported('rich', 'rest')).err).toBe(
    `quietkeg export: of ${gone} old readings only the minutes are kept; they are not in these files\n`,
  );
});

test('both explain themselves', async () => {
  expect((await ran(exportCommand, ['--help'])).out).toContain('quietkeg export DIR --keg ID [options]');
  expect((await ran(importCommand, ['--help'])).out).toContain('quietkeg import DIR|FILE [options]');
  await expect(ran(exportCommand, [at('out')])).rejects.toThrow('say which keg: --keg ID');
  await expect(ran(exportCommand, [at('out'), '--keg', 'one', '--from', 'x'])).rejects.toThrow('--from x: give a time');
  await expect(ran(importCommand, [])).rejects.toThrow('give one folder or file');
  await expect(ran(importCommand, ['x', '--format', 'xml'])).rejects.toThrow('--format xml: give ndjson or csv');
  const config = await ran(importCommand, ['x', '--config', at('no.toml')]);
  expect(config.code).toBe(78);
});

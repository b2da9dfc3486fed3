/**
 * Aim: fills, bottles and plans go out into a file of their own, come in from it whole and once, and a replay leaves them aside.
 * Method: a data folder as a service leaves it, and the commands themselves.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { planOf } from '../../src/app/fill-lines.ts';
import { exportCommand } from '../../src/cli/export.ts';
import { importCommand } from '../../src/cli/import.ts';
import { replayCommand } from '../../src/cli/replay.ts';
import type { FillPlan } from '../../src/contract/index.ts';
import { type FillRecord, fillEvents } from '../../src/domain/fill/fill.ts';
import { HOUR, iso, MINUTE } from '../support/builders.ts';
import { aBottle, aFill, uuid } from '../support/fills.ts';
import { type KeptFolder, keptFolder, ran } from './kept-folder.ts';

const BEGAN = Date.UTC(2026, 2, 1, 12);
let base = '';
let folder: KeptFolder;
const at = (...names: string[]) => join(base, ...names);

const VOLUMES = { volumes: 2.3, low: 2.2, high: 2.4 };
const PLAN: FillPlan = {
  kegId: 'one',
  at: iso(BEGAN + HOUR),
  bottleGroups: [{ count: 12, litres: 0.5 }],
  fillAt: iso(BEGAN + 99 * HOUR),
  possible: true,
  probability: 0.9,
  reason: 'It is ready by then.',
  steps: [],
  needs: {
    ...{ bottles: 13, caps: 15, co2Grams: 20, co2LeftGrams: null, sanitiserL: 3 },
    ...{ bottleL: 6, beerL: 6.5, beerLeftL: null, sessionMinutes: 40 },
  },
  setPoints: {
    ...{ servingKpaGauge: 60, purgeKpaGauge: 103, line: { boreMm: 4.8, lengthM: 3, liftM: 0 }, lineAssumed: true },
    ...{ flowMlPerS: 20, slowFlowMlPerS: 15, regime: 'laminar', secondsPerBottle: [], breakoutKpaGauge: 60 },
    ...{ breaksOut: false, kegVolumes: 2.3, bottleVolumes: 2.2, bottleKpaGaugeAt20C: 200, bottleKpaGaugeAt30C: 300 },
    ...{ glassKpaGauge: 1000, glassSafeKpaGauge: 333, glassIsSafe: true },
  },
  target: { low: 2.1, high: 2.5, volumes: 2.3, celsius: 2 },
  insideBetween: null,
  atHour: VOLUMES,
  cautions: [],
};

beforeEach(async () => {
  base = mkdtempSync(join(tmpdir(), 'quietkeg-fills-'));
  folder = await keptFolder(at('rich'), BEGAN);
  expect(folder.kegs.putKeg('one', { capacityL: 19 }).ok).toBe(true);
  const filled = { at: iso(BEGAN), name: 'Ladder Shed Pale', beerState: 'flat', probe: 'thermowell' } as const;
  expect(folder.kegs.startBatch('one', filled).ok).toBe(true);
  for (let minute = 0; minute < 120; minute += 1) {
    folder.clock.advance(MINUTE);
    folder.hear('probes/one/beer-temperature', '4');
    folder.hear('probes/one/headspace-pressure', '70');
  }
  await folder.flush();
  const bottles = [
    aBottle(1, { tasting: { atMs: BEGAN + 2 * HOUR, text: '=bright,\n"clean"', opinion: null } }),
    aBottle(2, { note: 'foamy', destination: 'competition', destinationText: 'Barn day' }),
    aBottle(3, {
      conditions: { atMs: BEGAN, beerTemperatureC: 4, headspaceKpaGauge: null, dissolved: VOLUMES, verdict: 'ready' },
    }),
  ];
  // An id as long as ids may be.
  const fill = aFill({ fillId: 'f'.repeat(63), startedAtMs: BEGAN + HOUR, endedAtMs: BEGAN + 2 * HOUR, lostL: 0.2 });
  keep({ fill, bottles }, [aBottle(4)]);
  keep({ fill: aFill({ fillId: 'f2', startedAtMs: BEGAN + 3 * HOUR, line: PLAN.setPoints.line }), bottles: [] }, []);
  const entry = { sequence: 3, status: 'TENTATIVE', at: PLAN.fillAt, end: PLAN.fillAt, summary: 'Fill' } as const;
  const plan = planOf({
    ...{ kind: 'fill-plan', t: iso(BEGAN + HOUR), keg: 'one', planId: 'p1', batchId: 'entry-1', name: 'Prize' },
    ...{ fillAt: PLAN.fillAt, bottles: '12x0.5', checkedAt: iso(BEGAN + HOUR), cancelledAt: null },
    ...{ changes: [{ at: iso(BEGAN + HOUR), says: 'Later.' }], plan: PLAN, said: PLAN },
    // Longer than any line of readings may be.
    entries: Array.from({ length: 100 }, (_, n) => ({
      ...entry,
      ...{ uid: `p1-${n}`, text: 'x'.repeat(900), changedAt: iso(BEGAN) },
    })),
  });
  folder.plans.put('p1', plan);
});
afterEach(async () => {
  await folder.close();
  rmSync(base, { recursive: true });
});

/** As the service keeps a fill: with the entries that follow from it. */
function keep(record: FillRecord, removed: FillRecord['bottles']): void {
  const { fill, bottles } = record;
  folder.book.saveFill(fill);
  for (const bottle of [...bottles, ...removed]) folder.book.saveBottle(fill.fillId, bottle);
  for (const { bottleId } of removed) folder.book.removeBottle(fill.fillId, bottleId);
  folder.register.changeEvents('one', (catalogue) => {
    for (const event of fillEvents(record))
      catalogue.saveEvent({ ...event, subject: { kind: 'keg', id: 'one' }, enteredAtMs: BEGAN + 4 * HOUR });
  });
}

const files = (name: string) =>
  Object.fromEntries(readdirSync(at(name)).map((one) => [one, readFileSync(at(name, one), 'utf8')]));
const exported = (data: string, to: string, more: string[] = []) =>
  ran(exportCommand, [at(to), '--keg', 'one', '--data', at(data), ...more]);
const imported = (from: string, more: string[] = []) => ran(importCommand, [at(from), '--data', at('other'), ...more]);
const fillLines = () => (files('first')['fills.jsonl'] ?? '').trim().split('\n');

describe('fills of a keg', () => {
  test('go out, come into an empty instance, and go out the same; twice is once', async () => {
    const out = await exported('rich', 'first');
    expect(out).toMatchObject({ code: 0, err: '' });
    expect(out.out).toContain('5 entries, 7 lines of fills and 240 readings are in');
    expect(await imported('first')).toMatchObject({ code: 0, err: '' });
    expect(await exported('other', 'second')).toMatchObject({ code: 0 });
    expect(Object.keys(files('second'))).toEqual(['events.jsonl', 'fills.jsonl', 'keg.json', 'readings.jsonl']);
    expect(files('second')).toEqual(files('first'));

    const again = await imported('first', ['--json']);
    expect(JSON.parse(again.out)).toMatchObject({ fills: { read: 7, added: 0, known: 7 }, entries: { added: 0 } });
    await exported('other', 'third');
    expect(files('third')).toEqual(files('first'));
  });

  test('are left aside by a replay', async () => {
    await exported('rich', 'first');
    const replayed = await ran(replayCommand as typeof importCommand, [at('first')]);
    rmSync(at('first', 'fills.jsonl'));
    expect(replayed).toMatchObject({ code: 0, err: '' });
    expect((await ran(replayCommand as typeof importCommand, [at('first')])).out).toBe(replayed.out);
  });

  test('can come in alone, and only those begun before --to go out', async () => {
    await exported('rich', 'first', ['--to', iso(BEGAN + 2 * HOUR)]);
    expect(fillLines().map((line) => JSON.parse(line).kind)).toEqual(['fill', ...Array(4).fill('bottle'), 'fill-plan']);
    expect(await ran(importCommand, [at('first', 'fills.jsonl'), '--data', at('other')])).toMatchObject({ code: 0 });
    await exported('other', 'second');
    expect(files('second')['fills.jsonl']).toBe(files('first')['fills.jsonl']);
    expect(files('second')['events.jsonl']).toContain('"kind":"beer-drawn","litres":1.7');
  });
});

test.each([
  [{ number: 0 }, /fills.jsonl:2: number: must be at least 1/],
  [{ note: 'fomy' }, /fills.jsonl:2: note: /],
  [{ bottleId: 'bottle' }, /fills.jsonl:2: bottleId: use a UUID/],
  [{ fillId: 'f9' }, /fills.jsonl:2: fillId: no good line of the fill f9 stands before this bottle/],
  [{ colour: 'brown' }, /fills.jsonl:2: .*colour/],
  [{ kind: 'botle' }, /fills.jsonl:2: kind: "botle" is none; did you mean bottle\?/],
  [{ t: '2999-01-01T00:00:00Z' }, /fills.jsonl:2: t: this lies in the future/],
])('what is wrong with a bottle is told with its line: %j', async (change, told) => {
  await exported('rich', 'first');
  const [first = '', second = '', ...rest] = fillLines();
  const bad = JSON.stringify({ ...JSON.parse(second), ...change });
  writeFileSync(at('first', 'fills.jsonl'), [first, bad, ...rest].join('\n'));
  const { code, err } = await imported('first');
  expect(err).toMatch(told);
  expect(err).toContain('nothing was imported');
  expect(code).toBe(1);
  expect(readdirSync(base)).not.toContain('other');
});

test('what the other side refuses is told with its line', async () => {
  await exported('rich', 'first');
  await imported('first');
  const [first = '', second = ''] = fillLines();
  const doubled = JSON.stringify({ ...JSON.parse(second), bottleId: uuid(77) });
  writeFileSync(at('first', 'fills.jsonl'), `${first}\n${doubled}\n`);
  const { code, err } = await imported('first');
  expect(err).toMatch(/fills.jsonl:2: number: bottle 1 of this fill is .* here/);
  expect(code).toBe(1);
});

import { afterEach, beforeEach, expect, test } from 'vitest';
import type { z } from 'zod';
import type { AlertList, Curve, KegList, KegState, RejectionList } from '../../src/contract/index.ts';
import { eventually, getJson, mosquittoPub, openLive, send } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';

/** Publishing with mosquitto_pub to a program as a user starts it, and looking at what comes out at the other end. */

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let program: RunningProgram;

beforeEach(async () => {
  folder = await temporaryFolder();
  program = await startProgram({ folder: folder.path });
});
afterEach(async () => {
  await program.end('SIGKILL');
  await folder.remove();
});

const state = (kegId: string) => getJson<KegState>(program, `api/v1/kegs/${kegId}/state`);

/** Source of 2.51: the published Henry-type fit at 38 °F (3.33 °C) and 11.3 psi gauge at sea level. */
test('a temperature and a pressure give the carbonation of the published fit, at sea level and at 1,000 m', async () => {
  await mosquittoPub(program, 'probes/one/beer-temperature', '3.33');
  await mosquittoPub(program, 'probes/one/headspace-pressure', '{"value":11.3,"unit":"[psi]"}');
  const atSea = await eventually(
    () => state('one'),
    (s) => s.equilibriumVolumes !== null,
  );
  expect(Math.abs((atSea.equilibriumVolumes ?? 0) - 2.51)).toBeLessThanOrEqual(0.02);
  expect(atSea.ambientFrom).toBe('assumed-sea-level');

  const put = await send(program, 'PUT', 'api/v1/site', { altitudeM: 1000 });
  expect(put.status).toBe(200);
  const high = await state('one');
  expect(Math.abs((high.equilibriumVolumes ?? 0) - 2.35)).toBeLessThanOrEqual(0.02);
  expect(high.ambientFrom).toBe('site-altitude');
});

test('a page gets hello, a snapshot, and then a published change within 300 ms', async () => {
  const live = await openLive(program);
  await live.next((frame) => frame.type === 'snapshot');
  expect(live.frames.map(({ frame }) => frame.type)).toEqual(['hello', 'snapshot']);
  // The first publish starts mosquitto_pub from the disk; the second one is measured, from before its process begins.
  await mosquittoPub(program, 'probes/one/headspace-pressure', '70');
  await live.next((frame) => frame.type === 'keg');
  const published = performance.now();
  await mosquittoPub(program, 'probes/one/beer-temperature', '3.5');
  const { frame, atMs } = await live.next((f) => f.type === 'keg' && f.state.beerTemperatureC === 3.5);
  expect(atMs - published).toBeLessThan(300);
  expect(frame).toMatchObject({ revision: 2, state: { kegId: 'one' } });
  live.close();
});

test('ten minutes of cold samples raise cold-enough over the socket, and it is kept', async () => {
  await send(program, 'PUT', 'api/v1/kegs/one', { name: 'One' });
  const live = await openLive(program);
  for (let minute = -11; minute <= 0; minute += 1) {
    const time = new Date(Date.now() + minute * 60_000).toISOString();
    await mosquittoPub(program, 'probes/one/beer-temperature', JSON.stringify({ value: 1.9, unit: 'Cel', time }));
  }
  const { frame } = await live.next((f) => f.type === 'alert');
  expect(frame).toMatchObject({ episode: { rule: 'cold-enough', kegId: 'one', state: 'active', endedAt: null } });
  await mosquittoPub(program, 'probes/one/beer-temperature', '2.6');
  await live.next((f) => f.type === 'alert' && f.episode.state === 'ended');
  const { alerts } = await getJson<z.infer<typeof AlertList>>(program, 'api/v1/alerts');
  expect(alerts).toMatchObject([{ rule: 'cold-enough', state: 'ended', measured: 2.6 }]);
  live.close();
});

test('after kill -9 everything that was shown is still there', async () => {
  await send(program, 'PUT', 'api/v1/site', { altitudeM: 300 });
  await send(program, 'PUT', 'api/v1/kegs/one', { name: 'First', capacityL: 10 });
  await send(program, 'POST', 'api/v1/kegs/one/batch', { name: 'Gate Post', style: 'bitter', abvPercent: 4.1 });
  for (let minute = -12; minute < 0; minute += 1) {
    const time = new Date(Date.now() + minute * 60_000).toISOString();
    await mosquittoPub(program, 'probes/one/beer-temperature', JSON.stringify({ value: 1.5, time }));
  }
  await mosquittoPub(program, 'probes/one/headspace-pressure', '65');
  await mosquittoPub(program, 'probes/two/beer-temperature', '9');
  await mosquittoPub(program, 'probes/one/beer-temperature', 'lukewarm');
  const shown = (s: KegState) => ({
    ...s,
    at: '',
    inputs: s.inputs.map(({ quantity, value, at }) => ({ quantity, value, at })),
  });
  const everything = async () => ({
    one: shown(await state('one')),
    two: shown(await state('two')),
    kegs: await getJson<z.infer<typeof KegList>>(program, 'api/v1/kegs'),
    events: await getJson(program, 'api/v1/kegs/one/events'),
    batches: await getJson(program, 'api/v1/batches'),
    alerts: await getJson(program, 'api/v1/alerts'),
    rejections: await getJson<z.infer<typeof RejectionList>>(program, 'api/v1/rejections'),
    readings: (await getJson<Curve>(program, 'api/v1/kegs/one/curve?points=2000')).columns.beerTemperatureC,
  });
  const before = await eventually(
    everything,
    (e) =>
      e.rejections.count === 1 &&
      e.readings.mean.length >= 12 &&
      e.one.headspaceKpaGauge !== null &&
      e.one.dissolved !== null,
  );
  await program.end('SIGKILL');
  program = await startProgram({ folder: folder.path });
  const after = await eventually(
    everything,
    (e) => e.readings.mean.length === before.readings.mean.length && e.one.dissolved !== null,
  );
  expect(after).toEqual(before);
});

test('what cannot be used is counted and listed with its topic, the reason and its first bytes', async () => {
  await mosquittoPub(program, 'probes/one/beer-temperature', '4,1');
  await mosquittoPub(program, 'probes/one/colour', '12');
  const list = () => getJson<z.infer<typeof RejectionList>>(program, 'api/v1/rejections');
  const { rejections } = await eventually(list, ({ count }) => count === 2);
  expect(rejections).toMatchObject([
    {
      topic: 'probes/one/colour',
      sample: '12',
      reason: expect.stringContaining('"colour" is no quantity of keg topics'),
    },
    { topic: 'probes/one/beer-temperature', sample: '4,1', reason: expect.stringContaining('expected a number') },
  ]);
});

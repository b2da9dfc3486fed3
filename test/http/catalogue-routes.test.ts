import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Keg, KegList, KegState, Probe, ProbeList, Site, SupplyList } from '../../src/contract/index.ts';
import { DAY, iso, MINUTE, NOON } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';

let http: HttpWorld;

beforeEach(async () => {
  http = await anHttpWorld();
});
afterEach(async () => {
  await http.server.close();
  expect(http.mistakes).toEqual([]);
});

const ask: HttpWorld['ask'] = (...request) => http.ask(...request);

/** Status and code of a refusal, in the form of RFC 9457. */
async function refused(...request: Parameters<HttpWorld['ask']>): Promise<readonly [number, string, string]> {
  const response = await http.ask(...request);
  expect(response.headers['content-type']).toMatch(/^application\/problem\+json/);
  const { type, title, status, detail } = response.json();
  expect(status).toBe(response.statusCode);
  expect(title).not.toBe('');
  return [status, String(type).replace('urn:quietkeg:problem:', ''), detail];
}

describe('the site', () => {
  test('is told and changed in parts', async () => {
    expect((await ask('GET', '/site')).json()).toMatchObject({ altitudeM: 0, altitudeAssumed: true, line: null });
    const put = await ask('PUT', '/site', { altitudeM: 250, units: { pressure: '[psi]' } });
    expect(put.statusCode).toBe(200);
    expect(Site.parse(put.json())).toMatchObject({
      altitudeM: 250,
      altitudeAssumed: false,
      units: { temperature: 'Cel', pressure: '[psi]', carbonation: 'volumes', volume: 'L' },
    });
    const again = await ask('PUT', '/site', { units: { temperature: '[degF]' } });
    expect(again.json()).toMatchObject({ altitudeM: 250, units: { temperature: '[degF]', pressure: '[psi]' } });
    expect((await ask('PUT', '/site', {})).json()).toEqual(again.json());
  });

  test.each([
    [{ altitude: 250 }, /altitude/],
    [{ altitudeM: '250' }, /altitudeM/],
    [{ altitudeM: 9001 }, /altitudeM/],
    [{ timeZone: 'Middle/Earth' }, /timeZone/],
    [{ line: { boreMm: 5 } }, /line\.lengthM/],
    [{ line: { boreMm: 5, lengthM: 1, liftM: 0, colour: 'red' } }, /line.*colour/],
    [{ units: { pressure: 'atm' } }, /units\.pressure/],
    [[], /object/],
  ])('%j is refused, and the place is named', async (body, detail) => {
    expect(await refused('PUT', '/site', body)).toEqual([400, 'body-invalid', expect.stringMatching(detail)]);
    expect((await ask('GET', '/site')).json().altitudeM).toBe(0);
  });
});

describe('places and supplies', () => {
  test('are listed, put and deleted', async () => {
    expect((await ask('GET', '/places')).json()).toEqual({ places: [{ placeId: 'fridge', name: 'Fridge' }] });
    expect((await ask('PUT', '/places/garage', { name: 'Garage' })).json()).toEqual({
      placeId: 'garage',
      name: 'Garage',
    });
    expect((await ask('DELETE', '/places/garage')).statusCode).toBe(204);
    expect((await ask('PUT', '/supplies/mixed', { co2Ratio: 0.7 })).json()).toMatchObject({ co2Ratio: 0.7 });
    expect(SupplyList.parse((await ask('GET', '/supplies')).json()).supplies).toHaveLength(2);
    expect((await ask('DELETE', '/supplies/mixed')).body).toBe('');
  });

  test('that are wrong, unknown or in use are refused', async () => {
    expect(await refused('PUT', '/places/Garage', { name: 'x' })).toEqual([400, 'body-invalid', expect.any(String)]);
    expect(await refused('PUT', '/places/garage', {})).toEqual([400, 'body-invalid', expect.any(String)]);
    expect(await refused('PUT', '/places/garage', { name: ' ' })).toEqual([400, 'body-invalid', expect.any(String)]);
    expect(await refused('DELETE', '/places/garage')).toEqual([404, 'place-unknown', expect.any(String)]);
    expect(await refused('DELETE', '/places/fridge')).toEqual([409, 'still-in-use', expect.any(String)]);
    expect(await refused('PUT', '/supplies/mixed', { co2Ratio: 0 })).toEqual([400, 'body-invalid', expect.any(String)]);
    expect(await refused('PUT', '/supplies/mixed', { co2Ratio: 1.01 })).toEqual([
      400,
      'body-invalid',
      expect.any(String),
    ]);
    expect(await refused('DELETE', '/supplies/mixed')).toEqual([404, 'supply-unknown', expect.any(String)]);
    expect(await refused('DELETE', '/supplies/gas')).toEqual([409, 'still-in-use', expect.any(String)]);
  });
});

describe('kegs', () => {
  test('are put, told, listed and deleted', async () => {
    const put = await ask('PUT', '/kegs/one', { name: 'Left', capacityL: 18.9 });
    expect(Keg.parse(put.json())).toMatchObject({ kegId: 'one', name: 'Left', placeId: 'fridge', batchId: null });
    expect((await ask('GET', '/kegs/one')).json()).toEqual(put.json());
    expect((await ask('GET', '/kegs')).json()).toEqual({ kegs: [put.json()], suggestions: [] });
    expect((await ask('DELETE', '/kegs/one')).statusCode).toBe(204);
    expect(await refused('GET', '/kegs/one')).toEqual([404, 'keg-unknown', expect.any(String)]);
    expect(await refused('DELETE', '/kegs/one')).toEqual([404, 'keg-unknown', expect.any(String)]);
  });

  test('that were heard of are suggested, and can be dismissed', async () => {
    await http.world.beer(4, 'two');
    await http.world.headspace(70, 'two');
    http.world.clock.advance(50);
    const { suggestions } = KegList.parse((await ask('GET', '/kegs')).json());
    expect(suggestions).toEqual([
      {
        kegId: 'two',
        firstHeardAt: iso(NOON),
        lastHeardAt: iso(NOON),
        quantities: ['beer-temperature', 'headspace-pressure'],
      },
    ]);
    expect((await ask('GET', '/kegs/two/state')).json()).toMatchObject({ adopted: false, beerTemperatureC: 4 });
    expect((await ask('DELETE', '/kegs/two')).statusCode).toBe(204);
    expect(await refused('GET', '/kegs/two/state')).toEqual([404, 'keg-unknown', expect.any(String)]);
  });

  test.each([
    ['/kegs/place', {}, 'body-invalid'],
    ['/kegs/ONE', {}, 'body-invalid'],
    ['/kegs/one', { capacityL: 0 }, 'body-invalid'],
    ['/kegs/one', { capacity: 19 }, 'body-invalid'],
    ['/kegs/one', { placeId: 'attic' }, 'place-unknown'],
    ['/kegs/one', { supplyId: 'argon' }, 'supply-unknown'],
  ])('PUT %s %j is refused: %s', async (path, body, code) => {
    expect((await refused('PUT', path, body))[1]).toBe(code);
  });

  test('tell their state in the contract’s form, with the age of now', async () => {
    http.world.fill();
    await http.world.minutes(3, 4, 70);
    http.world.clock.advance(1234);
    const state = KegState.parse((await ask('GET', '/kegs/one/state')).json());
    expect(state).toMatchObject({ kegId: 'one', dissolved: null, verdict: { kind: 'unknown' } });
    expect(state.inputs[0]?.ageMs).toBe(1234);
    for (const check of state.verdict.checks) {
      expect(Object.keys(check)).toEqual(expect.arrayContaining(['measured', 'wanted']));
    }
  });

  test('tell their curve', async () => {
    http.world.fill();
    await http.world.minutes(10, 4, 70);
    const last = await ask('GET', '/kegs/one/curve');
    expect(last.json()).toMatchObject({ from: iso(NOON + 10 * MINUTE - DAY), to: iso(NOON + 10 * MINUTE) });
    const some = await ask('GET', `/kegs/one/curve?from=${iso(NOON)}&to=${iso(NOON + 5 * MINUTE)}&points=10`);
    expect(some.json().columns.time).toHaveLength(4);
    expect(some.json().doubted).toEqual([]);
  });

  test.each([
    ['from=yesterday', /from/],
    ['points=1', /points/],
    ['points=2001', /points/],
    ['points=ten', /points/],
    [`from=${iso(NOON)}&to=${iso(NOON)}`, /from: must lie before/],
    [`from=2000-01-01T00:00:00Z&to=${iso(NOON)}`, /ten years/],
  ])('refuse a curve of %s', async (query, detail) => {
    http.world.fill();
    const told = await refused('GET', `/kegs/one/curve?${query}`);
    expect(told).toEqual([400, 'body-invalid', expect.stringMatching(detail)]);
  });

  test('say so when past readings cannot be read', async () => {
    http.world.fill();
    await http.world.beer(4);
    await http.world.store.close();
    expect(await refused('GET', '/kegs/one/curve')).toEqual([503, 'store-unavailable', expect.any(String)]);
    expect(await refused('GET', '/kegs/nine/curve')).toEqual([404, 'keg-unknown', expect.any(String)]);
  });
});

describe('curves', () => {
  test('tell apart what cannot be true', async () => {
    const batchId = http.world.fill();
    await http.world.minutes(5, 4, 70);
    await http.world.beer(62);
    const doubted = [{ quantity: 'beer-temperature', at: iso(http.world.clock.nowMs()), value: 62 }];
    await http.world.minutes(5, 4, 70);
    for (const path of ['/kegs/one/curve', `/batches/${batchId}/curve`]) {
      expect((await ask('GET', path)).json()).toMatchObject({ doubted });
    }
  });
});

describe('probes', () => {
  const setting = { topic: 'cellar/board', pointer: '/t', quantity: 'beer-temperature', of: 'one' };

  test('are mapped, listed with topics that none reads, and forgotten', async () => {
    await http.world.hear('cellar/board', '{"t":4}');
    await http.world.hear('garden/soil', '7');
    expect((await ask('GET', '/probes')).json().heard).toMatchObject([{ topic: expect.any(String) }, {}]);
    const put = await ask('PUT', '/probes/board', setting);
    expect(Probe.parse(put.json())).toMatchObject({ probeId: 'board', of: 'one', unit: null, calibration: [] });
    const { probes, heard } = ProbeList.parse((await ask('GET', '/probes')).json());
    expect(probes.map(({ probeId }) => probeId)).toEqual(['board']);
    expect(heard.map(({ topic }) => topic)).toEqual(['garden/soil']);
    expect((await ask('DELETE', '/probes/board')).statusCode).toBe(204);
    expect(await refused('DELETE', '/probes/board')).toEqual([404, 'probe-unknown', expect.any(String)]);
  });

  test('that are forgotten take their alerts with them', async () => {
    http.world.fill();
    await http.world.minutes(3, 4, 70);
    http.world.go(13 * MINUTE);
    const targets = async () =>
      (await ask('GET', '/alerts?open=true')).json().alerts.map(({ target }: { target: string }) => target);
    // Both fell silent together, and the first of them speaks for both.
    expect(await targets()).toEqual(['one.beer-temperature']);
    await ask('DELETE', '/probes/one.beer-temperature');
    expect(await targets()).toEqual(['one.headspace-pressure']);
  });

  test.each([
    [{ topic: 'cellar/+' }, 400, 'body-invalid'],
    [{ topic: 'cellar/#' }, 400, 'body-invalid'],
    [{ pointer: 't' }, 400, 'body-invalid'],
    [{ pointer: '/~2' }, 400, 'body-invalid'],
    [{ quantity: 'weight' }, 400, 'body-invalid'],
    [{ of: 'place/fridge' }, 400, 'body-invalid'],
    [{ unit: 'celsius' }, 400, 'body-invalid'],
    [{ unit: 'kPa' }, 400, 'body-invalid'],
    [{ calibration: [{ from: 'today', offset: 1 }] }, 400, 'body-invalid'],
    [{ calibration: [{ from: iso(NOON), offset: 1, gain: 0 }] }, 400, 'body-invalid'],
    [{ colour: 'red' }, 400, 'body-invalid'],
  ])('%j is refused', async (change, status, code) => {
    expect(await refused('PUT', '/probes/board', { ...setting, ...change })).toEqual([
      status,
      code,
      expect.any(String),
    ]);
  });

  test('in conflict are refused', async () => {
    await ask('PUT', '/probes/board', setting);
    expect(await refused('PUT', '/probes/other', setting)).toEqual([409, 'probe-conflict', expect.any(String)]);
    expect(await refused('PUT', '/probes/two.beer-temperature', setting)).toEqual([
      409,
      'probe-conflict',
      expect.any(String),
    ]);
    expect(await refused('PUT', '/probes/NO', setting)).toEqual([400, 'body-invalid', expect.any(String)]);
  });

  test('what was refused is listed', async () => {
    await http.world.hear('probes/one/beer-temperature', '85');
    expect((await ask('GET', '/rejections')).json()).toEqual({
      count: 1,
      rejections: [
        {
          topic: 'probes/one/beer-temperature',
          at: iso(NOON),
          reason: '85 Cel is what such a sensor says when it has no value',
          sample: '85',
        },
      ],
    });
  });
});

import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Problem } from '../../src/contract/index.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { World } from '../support/world.ts';

let http: HttpWorld;

beforeEach(async () => {
  http = await anHttpWorld();
});
afterEach(() => http.server.close());

/** Sends exactly this; gives status and code of the problem. */
async function raw(
  method: 'GET' | 'PUT' | 'POST' | 'PATCH' | 'DELETE',
  url: string,
  payload?: string,
  type = 'application/json',
) {
  const headers = payload === undefined ? {} : { 'content-type': type };
  const response = await http.server.inject({ method, url, headers, ...(payload === undefined ? {} : { payload }) });
  expect(response.headers['content-type']).toMatch(/^application\/problem\+json/);
  const told = Problem.parse(response.json());
  expect(told.status).toBe(response.statusCode);
  return { code: `${told.status} ${told.type.replace('urn:quietkeg:problem:', '')}`, detail: told.detail, response };
}

describe('addresses', () => {
  test.each(['/api/v1/nothing', '/nothing', '/api/v1/kegs/one/nothing', '/api/v2/kegs', '/api/v1/'])(
    'that do not exist are a problem: %s',
    async (url) => {
      const { code, detail } = await raw('GET', url);
      expect(code).toBe('404 address-unknown');
      expect(detail).toContain(url);
    },
  );

  test.each<['GET' | 'PUT' | 'POST' | 'PATCH' | 'DELETE', string, string]>([
    ['DELETE', '/api/v1/site', 'GET, HEAD, PUT'],
    ['POST', '/api/v1/kegs', 'GET, HEAD'],
    ['PATCH', '/api/v1/kegs/one', 'DELETE, GET, HEAD, PUT'],
    ['GET', '/api/v1/alerts/x/acknowledgement', 'POST'],
    ['DELETE', '/api/v1/batches/x?points=3', 'GET, HEAD, PATCH'],
    ['POST', '/health/live', 'GET, HEAD'],
  ])('%s %s exists, but not for this method', async (method, url, allow) => {
    const { code, response } = await raw(method, url);
    expect(code).toBe('405 method-not-allowed');
    // RFC 9110, section 15.5.6: a 405 must name the methods that are allowed.
    expect(response.headers.allow).toBe(allow);
  });

  test('a very long one is answered, and not repeated in full', async () => {
    const { code, detail } = await raw('GET', `/api/v1/${'x'.repeat(5000)}`);
    expect(code).toBe('404 address-unknown');
    expect(detail.length).toBeLessThan(300);
  });

  test('that cannot be decoded are a problem', async () => {
    expect((await raw('GET', '/api/v1/kegs/%ff/state')).code).toMatch(/^4\d\d /);
  });
});

describe('bodies', () => {
  test.each([
    ['not JSON', '{"name":'],
    ['empty', ''],
    ['a number', '4'],
    ['null', 'null'],
    ['a text', '"x"'],
  ])('%s are refused', async (_what, payload) => {
    expect((await raw('PUT', '/api/v1/places/garage', payload)).code).toBe('400 body-invalid');
  });

  test.each([
    '{"__proto__":{"name":"x"}}',
    '{"name":"x","__proto__":{}}',
    '{"name":"x","constructor":{"prototype":{}}}',
  ])('that try to change how objects behave are refused: %s', async (payload) => {
    expect((await raw('PUT', '/api/v1/places/garage', payload)).code).toBe('400 body-invalid');
    expect(({} as Record<string, unknown>).name).toBeUndefined();
  });

  test('larger than 256 KiB are too large', async () => {
    const { code } = await raw('PUT', '/api/v1/places/garage', JSON.stringify({ name: 'x'.repeat(256 * 1024) }));
    expect(code).toBe('413 body-too-large');
  });

  test.each(['text/plain', 'application/xml', 'application/x-www-form-urlencoded'])(
    'as %s are refused',
    async (type) => {
      expect((await raw('PUT', '/api/v1/places/garage', 'name=x', type)).code).toBe('415 media-type-unsupported');
    },
  );

  test('errors name every place that is wrong', async () => {
    const { response } = await raw('PUT', '/api/v1/kegs/one', '{"capacityL":-1,"name":""}');
    expect(response.json().errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual(
      expect.arrayContaining(['/name', '/capacityL']),
    );
  });
});

describe('mistakes of ours', () => {
  test('are logged with their cause, and told without it', async () => {
    http.world.services.register.kegs = () => {
      throw new Error('secret cause');
    };
    const { code, detail } = await raw('GET', '/api/v1/kegs');
    expect(code).toBe('500 internal');
    expect(detail).not.toContain('secret');
    expect(http.mistakes).toEqual(['GET /api/v1/kegs: secret cause']);
  });

  test('an answer that is not of its own form is one', async () => {
    http.world.services.register.places = () => [{ placeId: 'NOT AN ID', name: 'x' }];
    const { code, detail } = await raw('GET', '/api/v1/places');
    expect(code).toBe('500 internal');
    expect(detail).toMatch(/not of its own form/);
    expect(http.mistakes).toHaveLength(1);
  });
});

describe('health and metrics', () => {
  test('the process turns', async () => {
    expect((await http.ask('GET', '/health/live')).json()).toEqual({ status: 'live' });
  });

  test('its parts answer, or it says which does not', async () => {
    expect((await http.ask('GET', '/health/ready')).json()).toEqual({
      status: 'ready',
      broker: null,
      spool: null,
      store: null,
      clock: null,
    });
    const world = await World.make();
    const services = { ...world.services, health: () => ({ broker: null, spool: null, store: 'away', clock: null }) };
    const sick = await anHttpWorld(Object.assign(world, { services }));
    const response = await sick.ask('GET', '/health/ready');
    expect(response.statusCode).toBe(503);
    expect(response.json()).toEqual({ status: 'not-ready', broker: null, spool: null, store: 'away', clock: null });
    await sick.server.close();
  });

  test('metrics are OpenMetrics text', async () => {
    http.world.fill();
    const response = await http.ask('GET', '/metrics');
    expect(response.headers['content-type']).toBe('application/openmetrics-text; version=1.0.0; charset=utf-8');
    // OpenMetrics 1.0.0: every family is typed before its samples, counters end in _total, the text ends in # EOF.
    const lines = response.body.split('\n');
    expect(lines.slice(-2)).toEqual(['# EOF', '']);
    const typed = new Set<string>();
    for (const line of lines.slice(0, -2)) {
      const [, name = '', kind = ''] = /^# TYPE (\S+) (\S+)$/.exec(line) ?? [];
      if (name !== '') typed.add(kind === 'counter' ? `${name}_total` : name);
      if (line.startsWith('#')) continue;
      const [, metric = ''] = /^([a-z_]+)(?:\{[a-z]+="[a-z]+"\})? \d+$/.exec(line) ?? [];
      expect(typed).toContain(metric);
    }
    expect(lines).toContain('quietkeg_kegs 1');
    expect(lines).toContain('quietkeg_part_works{part="store"} 1');
  });
});

import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Rule, RuleTrial } from '../../src/contract/index.ts';
import { DAY, HOUR, iso, MINUTE } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';

let http: HttpWorld;
beforeEach(async () => {
  http = await anHttpWorld();
});
afterEach(async () => {
  expect(http.mistakes).toEqual([]);
  await http.server.close();
});
const ask: HttpWorld['ask'] = (...question) => http.ask(...question);
const rule = async (name: string): Promise<Rule> =>
  (await ask('GET', '/rules')).json().rules.find((one: Rule) => one.rule === name);

describe('rules', () => {
  test('are listed with all that their reader should know', async () => {
    const { rules } = (await ask('GET', '/rules')).json();
    expect(rules).toHaveLength(23);
    for (const one of rules as Rule[]) {
      for (const text of [one.title, one.cause, one.consequence, one.action, one.timeToAct, one.source]) {
        expect(text.length).toBeGreaterThan(3);
      }
      expect(one.enabled).toBe(true);
      for (const { value, usual, low, high } of one.limits) {
        expect(value).toBe(usual);
        expect(low).toBeLessThanOrEqual(usual);
        expect(high).toBeGreaterThanOrEqual(usual);
      }
    }
  });

  test('are changed in part, keep the rest, and survive a restart', async () => {
    const put = await ask('PUT', '/rules/cold-enough', { onDelayS: 60, limits: { marginC: 1 } });
    expect(put.statusCode).toBe(200);
    await ask('PUT', '/rules/cold-enough', { limits: { endAboveC: 2 } });
    const again = await anHttpWorld(await http.world.restart());
    const { rules } = (await again.ask('GET', '/rules')).json();
    const changed = (rules as Rule[]).find((one) => one.rule === 'cold-enough');
    expect(changed).toMatchObject({ enabled: true, onDelayS: 60, offDelayS: 0, usualOnDelayS: 600 });
    expect(changed?.limits.map(({ name, value }) => [name, value])).toEqual([
      ['marginC', 1],
      ['endAboveC', 2],
    ]);
    await again.server.close();
  });

  test('are in force at once', async () => {
    http.world.fill();
    await ask('PUT', '/rules/cold-enough', { onDelayS: 120, limits: { marginC: 3, endAboveC: 4 } });
    await http.world.minutes(3, 4.9, 70);
    expect(http.world.told()).toEqual(['cold-enough active']);
  });

  test('that are switched off end what they told, once, and say so', async () => {
    http.world.fill();
    await http.world.minutes(12, 1.9, 70);
    await ask('PUT', '/rules/cold-enough', { enabled: false });
    await ask('PUT', '/rules/cold-enough', { enabled: false });
    await http.world.minutes(12, 1.9, 70);
    expect(http.world.told()).toEqual(['cold-enough active', 'cold-enough ended']);
    expect(http.world.episodes()[0]?.message).toBe('The rule "Cold enough to fill" was switched off.');
    await ask('PUT', '/rules/cold-enough', { enabled: true });
    await http.world.minutes(12, 1.9, 70);
    expect(http.world.told().slice(2)).toEqual(['cold-enough active']);
  });

  test.each([
    ['nothing', {}, 404, /There is no rule nothing; known are/],
    ['leak', { limits: { ppm: 1 } }, 400, /limits.ppm: leak has no such limit; it has probabilityMin/],
    ['leak', { limits: { constructor: 1 } }, 400, /no such limit/],
    ['leak', { limits: { kgPerDay: 99 } }, 400, /must lie between 0.05 and 5 \(kg\/d\)/],
    ['room-co2-danger', { limits: { ppm: 40_000 } }, 400, /must lie between 5000 and 30000/],
    ['ready-to-fill', { limits: { x: 1 } }, 400, /has no limits/],
    ['near-freezing', { onDelayS: 7200 }, 400, /what is urgent may be held back for 600 s at most/],
    ['leak', { onDelayS: -1 }, 400, /onDelayS/],
    ['leak', { onDelayMin: 3 }, 400, /onDelayMin/],
  ])('refuse for %s: %o', async (name, body, status, detail) => {
    for (const answer of [await ask('PUT', `/rules/${name}`, body), await ask('POST', `/rules/${name}/try`, body)]) {
      expect(answer.statusCode).toBe(status);
      expect(answer.json().detail).toMatch(detail);
    }
    expect((await rule('leak')).limits.every(({ value, usual }) => value === usual)).toBe(true);
  });
});

/** A past of some days: the beer is cold, but for some hours each day. */
async function aPast(days: number): Promise<void> {
  const { world } = http;
  world.fill();
  const nowMs = world.clock.nowMs();
  for (let atMs = nowMs - days * DAY; atMs < nowMs; atMs += 5 * MINUTE) {
    const isWarm = (atMs % DAY) / HOUR < 3;
    const payload = JSON.stringify({ value: isWarm ? 3.2 : 1.8, unit: 'Cel', time: iso(atMs) });
    await world.hear('probes/one/beer-temperature', payload, { policy: 'import' });
  }
}

describe('a trial', () => {
  const trial = async (name: string, body: object): Promise<RuleTrial> =>
    (await ask('POST', `/rules/${name}/try`, body)).json();

  test('tells what a rule would have told of the past, and changes nothing', async () => {
    await aPast(6);
    const kept = http.world.episodes();
    const usual = await trial('cold-enough', {});
    // The third time within days it is unsteady, and all that follows is one message.
    expect(usual).toMatchObject({ rule: 'cold-enough', begins: 3, messages: 5, note: '', stepS: 300 });
    expect(usual.episodes[0]).toMatchObject({ target: 'one', kegId: 'one' });
    const patient = await trial('cold-enough', { limits: { endAboveC: 2 } });
    expect(patient).toMatchObject({ begins: 1, messages: 1 });
    const never = await trial('cold-enough', { onDelayS: 7 * 24 * 3600 });
    expect(never).toMatchObject({ begins: 0, messages: 0 });
    expect(http.world.episodes()).toEqual(kept);
    expect((await rule('cold-enough')).onDelayS).toBe(600);
  });

  test('tries a rule that is off as if it were on', async () => {
    await aPast(3);
    await ask('PUT', '/rules/cold-enough', { enabled: false });
    expect((await trial('cold-enough', {})).begins).toBeGreaterThan(0);
    expect(await rule('cold-enough')).toMatchObject({ enabled: false });
  });

  test('of states rests on what was kept of them', async () => {
    const { world } = http;
    world.fill();
    await world.minutes(120, 1.9, 70);
    const answer = await trial('ready-to-fill', {});
    expect(answer).toMatchObject({ begins: 0, stepS: 900 });
    expect(Date.parse(answer.from)).toBeLessThan(world.clock.nowMs());
  });

  test.each(['service-trouble', 'readings-not-kept', 'readings-wait', 'probe-silent', 'probe-implausible'])(
    'of %s says what it cannot see',
    async (name) => {
      await aPast(1);
      expect((await trial(name, {})).note).not.toBe('');
    },
  );

  test('with nothing kept finds nothing', async () => {
    expect(await trial('leak', {})).toMatchObject({ begins: 0, messages: 0, episodes: [] });
  });
});

test('the health of alerts counts what was told and names what wants care', async () => {
  const { world } = http;
  world.fill();
  await world.minutes(12, 1.9, 70);
  world.go(30 * MINUTE);
  world.clock.advance(2 * DAY);
  world.tick();
  const silent = (await ask('GET', '/alerts?open=true')).json().alerts.find((one: Rule) => one.rule === 'probe-silent');
  await ask('POST', `/alerts/${silent.id}/mute`, { hours: 8, because: 'battery ordered' });
  const health = (await ask('GET', '/alerts/health')).json();
  expect(health.days).toHaveLength(31);
  const sum = (key: string) =>
    health.days.reduce((all: number, day: Record<string, number>) => all + (day[key] ?? 0), 0);
  expect([sum('begins'), sum('ends'), sum('urgent')]).toEqual([2, 0, 0]);
  expect(health.noisiest).toEqual([
    { rule: 'cold-enough', begins: 1 },
    { rule: 'probe-silent', begins: 1 },
  ]);
  const names = (key: string) => health[key].map((one: { rule: string }) => one.rule);
  expect(names('unverified')).toEqual(['cold-enough']);
  expect(names('muted')).toEqual(['probe-silent']);
  expect(names('neverAcknowledged')).toEqual(['probe-silent']);
  expect([names('unsteady'), names('stale')]).toEqual([[], []]);
  expect(health.muted[0]).toMatchObject({ mutedBecause: 'battery ordered', unsteady: false });
  expect(health.people).toEqual([]);
  expect(health.heartbeat).toEqual({ state: 'not-set', everyMin: null, lastSentAt: null, trouble: null });
});

/**
 * Aim: a plan is told, kept, worked out anew and cancelled by HTTP, and its calendar is one that others can read.
 * Method: a keg with the real estimate; the calendar is parsed by ical.js, which shares nothing with our writer.
 */
import ICAL from 'ical.js';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { FillPlan, KeptPlan, Plans } from '../../src/contract/index.ts';
import { HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { LIGHT_MODEL } from '../support/light-model.ts';
import { World } from '../support/world.ts';

let http: HttpWorld;

const FILL_AT = NOON + 6 * 24 * HOUR;
const BOTTLES = '12x0.5,6x0.33';

beforeEach(async () => {
  http = await anHttpWorld(await World.make({ estimating: true, model: LIGHT_MODEL }));
  const { world } = http;
  const { kegChanges } = world.services;
  world.fill();
  kegChanges.addEvent('one', { kind: 'headspace-purged', times: 5, at: iso(NOON - 24 * HOUR) });
  kegChanges.addEvent('one', { kind: 'gas-opened', at: iso(NOON - 24 * HOUR) });
  kegChanges.addEvent('one', { kind: 'fridge-set', place: 'fridge', celsius: 4, at: iso(NOON - 24 * HOUR) });
  await live(4);
});
afterEach(async () => {
  await http.server.close();
  expect(http.mistakes).toEqual([]);
});

/** Hours with both probes speaking, worked out as they go. */
async function live(hours: number, beerC = 4, kpa = 70): Promise<void> {
  const { world } = http;
  for (let minute = 0; minute < hours * 60; minute += 5) {
    world.clock.advance(5 * MINUTE);
    await world.beer(beerC);
    await world.headspace(kpa);
  }
  await world.estimated();
}

const look = (fillAtMs: number, bottles = BOTTLES, kegId = 'one') =>
  http.ask('GET', `/kegs/${kegId}/plan?fillAt=${encodeURIComponent(iso(fillAtMs))}&bottles=${bottles}`);
const keep = async () =>
  KeptPlan.parse((await http.ask('POST', '/plans', { kegId: 'one', fillAt: iso(FILL_AT), bottles: BOTTLES })).json());
const codeOf = (response: Awaited<ReturnType<HttpWorld['ask']>>) =>
  `${response.statusCode} ${response.json().type}`.replace('urn:quietkeg:problem:', '');

/** The calendar as another program reads it, from the address that is told of it. */
async function calendar(tag?: string) {
  const { calendarPath } = Plans.parse((await http.ask('GET', '/plans')).json());
  const headers = tag === undefined ? {} : { 'if-none-match': tag };
  const response = await http.server.inject({ method: 'GET', url: calendarPath, headers });
  if (response.statusCode !== 200) return { response, events: [] };
  const events = new ICAL.Component(ICAL.parse(response.body))
    .getAllSubcomponents('vevent')
    .map((component) => ({ component, event: new ICAL.Event(component) }));
  return { response, events };
}

describe('a look at a plan', () => {
  test('names steps in order of time, what is needed, and how likely it comes right', async () => {
    const answer = await look(FILL_AT);
    expect(answer.statusCode).toBe(200);
    const plan = FillPlan.parse(answer.json());
    expect(plan).toMatchObject({ fillAt: iso(FILL_AT), possible: true });
    expect(plan.probability).toBeGreaterThan(0.5);
    const times = plan.steps.map(({ at }) => Date.parse(at));
    expect(times).toEqual(times.toSorted((a, b) => a - b));
    for (const { at, earliest, latest, what, why } of plan.steps) {
      expect(Date.parse(earliest)).toBeLessThanOrEqual(Date.parse(at));
      expect(Date.parse(latest)).toBeGreaterThanOrEqual(Date.parse(at));
      expect(what).not.toBe('');
      expect(why).not.toBe('');
    }
    const kinds = plan.steps.map(({ kind }) => kind);
    expect(kinds).toEqual(expect.arrayContaining(['fridge', 'bottles', 'rest', 'set-up', 'look', 'fill', 'end']));
    // 18 bottles and two spare; 7.98 L of beer and what is lost.
    expect(plan.needs).toMatchObject({ bottles: 20, caps: 20 });
    expect(plan.needs.bottleL).toBeCloseTo(7.98, 9);
    expect(plan.needs.beerL).toBeGreaterThan(8.2);
    expect(plan.setPoints.purgeKpaGauge).toBe(103);
  });

  test('puts the bottles into the cold the day before and leaves the keg still for twelve hours', async () => {
    const plan = FillPlan.parse((await look(FILL_AT)).json());
    const hoursBefore = (kind: string) => {
      const step = plan.steps.find((one) => one.kind === kind);
      return (FILL_AT - Date.parse(step?.at ?? '')) / HOUR;
    };
    expect(hoursBefore('bottles')).toBeGreaterThanOrEqual(12);
    expect(hoursBefore('rest')).toBe(12);
    expect(hoursBefore('fridge')).toBeGreaterThan(100);
  });

  test('refuses more bottles than there is beer, and says how much there is', async () => {
    const plan = FillPlan.parse((await look(FILL_AT, '60x0.5')).json());
    expect(plan).toMatchObject({ possible: false, probability: 0, steps: [] });
    expect(plan.reason).toMatch(
      /^The keg holds 1\d\.\d.L\. 60 bottles with line and foam take 3\d\.\d.L: plan fewer\.$/,
    );
    const refused = await http.ask('POST', '/plans', { kegId: 'one', fillAt: iso(FILL_AT), bottles: '60x0.5' });
    expect(codeOf(refused)).toBe('409 plan-refused');
  });

  test('says what is possible instead of an hour that cannot be met', async () => {
    const plan = FillPlan.parse((await look(NOON + 10 * HOUR)).json());
    expect(plan.possible).toBe(false);
    expect(plan.reason).toMatch(/later it is possible\.|No hour of the next ten days/);
    const over = FillPlan.parse((await look(NOON)).json());
    expect(over.reason).toBe('That hour is over. Choose one to come.');
  });

  test.each([
    ['twelve', /bottles: "twelve" is not understood; write 12x0\.5,6x0\.33/],
    ['0x0.5', /the number of bottles must be 1 to 2000/],
    ['3x99', /a bottle must hold 0\.1 to 5 L/],
  ])('refuses bottles written as %s', async (bottles, detail) => {
    const answer = await look(FILL_AT, bottles);
    expect(codeOf(answer)).toBe('400 body-invalid');
    expect(answer.json().detail).toMatch(detail);
  });

  test('refuses what it knows nothing of', async () => {
    expect(codeOf(await look(FILL_AT, BOTTLES, 'other'))).toBe('404 keg-unknown');
    await http.ask('PUT', '/kegs/empty', {});
    expect(codeOf(await look(FILL_AT, BOTTLES, 'empty'))).toBe('409 estimate-missing');
    expect(codeOf(await look(NOON + 90 * 24 * HOUR))).toBe('400 body-invalid');
  });

  test('plans no higher pressure where other kegs hang on the same gas', async () => {
    const { world } = http;
    world.fill('two', 'Back Lane Mild');
    world.services.kegChanges.addEvent('two', { kind: 'gas-opened', at: iso(NOON) });
    const plan = FillPlan.parse((await look(FILL_AT)).json());
    const pressures = plan.steps.filter(({ kind }) => kind === 'regulator').map(({ value }) => value ?? 0);
    for (const kpa of pressures) expect(kpa).toBeLessThan(90);
    expect(plan.cautions.join(' ')).toContain('Back Lane Mild');
  });
});

describe('a kept plan', () => {
  test('is listed, survives a restart, and is cancelled', async () => {
    const kept = await keep();
    expect(kept).toMatchObject({ kegId: 'one', name: 'Harvest Amber', bottles: BOTTLES, state: 'kept', changes: [] });
    const again = await http.world.restart(MINUTE);
    expect(again.services.fillPlans.list().plans).toMatchObject([{ planId: kept.planId, state: 'kept' }]);
    expect((await http.ask('DELETE', `/plans/${kept.planId}`)).statusCode).toBe(204);
    const { plans } = Plans.parse((await http.ask('GET', '/plans')).json());
    expect(plans).toMatchObject([{ planId: kept.planId, state: 'cancelled' }]);
    expect(codeOf(await http.ask('DELETE', '/plans/other'))).toBe('404 plan-unknown');
  });

  test('is worked out anew as things change, and says what is otherwise', async () => {
    await keep();
    await live(20, 12);
    http.world.services.fillPlans.tick();
    const [plan] = Plans.parse((await http.ask('GET', '/plans')).json()).plans;
    expect(plan?.checkedAt).toBe(iso(http.world.clock.nowMs()));
    expect(plan?.changes.length).toBeGreaterThan(0);
    for (const { says } of plan?.changes ?? []) expect(says).toMatch(/[.]$/);
  });

  test('is not worked out again and again', async () => {
    await keep();
    await live(1);
    const { fillPlans } = http.world.services;
    fillPlans.tick();
    const first = fillPlans.list().plans[0]?.checkedAt;
    http.world.clock.advance(5 * MINUTE);
    fillPlans.tick();
    expect(fillPlans.list().plans[0]?.checkedAt).toBe(first);
    http.world.clock.advance(11 * MINUTE);
    fillPlans.tick();
    expect(fillPlans.list().plans[0]?.checkedAt).not.toBe(first);
  });

  test('is cancelled when its beer is gone, over when its hour is, and forgotten a week later', async () => {
    await keep();
    const { world } = http;
    const { fillPlans, kegChanges } = world.services;
    kegChanges.addEvent('one', { kind: 'keg-emptied', at: iso(world.clock.nowMs()) });
    world.clock.advance(2 * MINUTE);
    fillPlans.tick();
    expect(fillPlans.list().plans[0]).toMatchObject({ state: 'cancelled' });
    expect(fillPlans.list().plans[0]?.changes[0]?.says).toContain('no longer in the keg');
    world.clock.advance(14 * 24 * HOUR);
    fillPlans.tick();
    expect(fillPlans.list().plans).toEqual([]);
  });

  test('tells the verdict until when the beer must not pass its window', async () => {
    const { world } = http;
    expect(world.services.fillPlans.planned('one')).toBeNull();
    await keep();
    const planned = world.services.fillPlans.planned('one');
    expect(planned?.endsAtMs).toBeGreaterThan(FILL_AT);
    world.clock.advance(FILL_AT + 24 * HOUR - world.clock.nowMs());
    expect(world.services.fillPlans.planned('one')).toBeNull();
    expect(world.services.fillPlans.list().plans).toMatchObject([{ state: 'over' }]);
  });
});

describe('the calendar', () => {
  test('is read by another program: what people do, tentative, with ranges', async () => {
    const kept = await keep();
    const { response, events } = await calendar();
    expect(response.headers['content-type']).toBe('text/calendar; charset=utf-8');
    const mine = kept.plan.steps.filter(({ by, kind }) => by === 'you' && kind !== 'end');
    expect(events.length).toBe(mine.length);
    expect(new Set(events.map(({ event }) => event.uid)).size).toBe(events.length);
    for (const { component, event } of events) {
      expect(component.getFirstPropertyValue('status')).toBe('TENTATIVE');
      expect(event.sequence).toBe(0);
      expect(event.uid.startsWith(kept.planId)).toBe(true);
    }
    const fill = events.find(({ event }) => event.summary === 'Fill bottles: Harvest Amber');
    expect(fill?.event.startDate.toJSDate().getTime()).toBe(FILL_AT);
    expect(fill?.event.endDate.toJSDate().getTime()).toBe(FILL_AT + kept.plan.needs.sessionMinutes * MINUTE);
    expect(events.some(({ event }) => /Latest |Between /.test(event.description))).toBe(true);
    // RFC 5545, 3.1: lines end with CRLF and hold no more than 75 octets.
    for (const line of response.body.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
    expect(response.body).not.toMatch(/[^\r]\n/);
  });

  test('is not sent again while nothing changed, and stays so while the forecast trembles', async () => {
    await keep();
    const first = await calendar();
    const tag = String(first.response.headers.etag);
    expect((await calendar(tag)).response.statusCode).toBe(304);
    await live(0.5);
    http.world.services.fillPlans.tick();
    expect((await calendar(`W/${tag}`)).response.statusCode).toBe(304);
    expect((await calendar('"other"')).response.statusCode).toBe(200);
  });

  test('shows a cancelled plan as cancelled, under the same uid and the next sequence', async () => {
    const kept = await keep();
    const before = await calendar();
    await http.ask('DELETE', `/plans/${kept.planId}`);
    const after = await calendar(String(before.response.headers.etag));
    expect(after.response.statusCode).toBe(200);
    expect(after.events.map(({ event }) => event.uid)).toEqual(before.events.map(({ event }) => event.uid));
    for (const { component, event } of after.events) {
      if (event.endDate.toJSDate().getTime() <= http.world.clock.nowMs()) continue;
      expect(component.getFirstPropertyValue('status')).toBe('CANCELLED');
      expect(event.sequence).toBe(1);
    }
  });

  test('moves an event by its sequence when the plan moves it', async () => {
    await keep();
    const before = await calendar();
    http.world.services.kegChanges.addEvent('one', { kind: 'gas-closed', at: iso(http.world.clock.nowMs()) });
    await live(1);
    http.world.services.fillPlans.tick();
    const after = await calendar(String(before.response.headers.etag));
    expect(after.response.statusCode).toBe(200);
    const summaries = after.events.map(({ event }) => event.summary);
    expect(summaries).toContain('Open the gas (Harvest Amber)');
  });

  test('has an address that can be made useless', async () => {
    await keep();
    const { calendarPath } = Plans.parse((await http.ask('GET', '/plans')).json());
    const renewed = (await http.ask('POST', '/plans/calendar')).json().calendarPath;
    expect(renewed).not.toBe(calendarPath);
    const asked = (url: string) => http.server.inject({ method: 'GET', url });
    expect(codeOf(await asked(calendarPath))).toBe('404 calendar-unknown');
    expect((await asked(renewed)).statusCode).toBe(200);
    expect((await asked('/api/v1/plans.ics')).statusCode).toBe(400);
  });
});

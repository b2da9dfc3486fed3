import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import {
  AlertList,
  Batch,
  BatchList,
  EVENT_KINDS,
  type EventKind,
  EventList,
  KegState,
  SHARED_KINDS,
} from '../../src/contract/index.ts';
import { aFilling, HOUR, iso, NOON } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';

let http: HttpWorld;

beforeEach(async () => {
  http = await anHttpWorld();
  await http.ask('PUT', '/kegs/one', {});
});
afterEach(async () => {
  await http.server.close();
  expect(http.mistakes).toEqual([]);
});

const ask: HttpWorld['ask'] = (...request) => http.ask(...request);
const codeOf = async (...request: Parameters<HttpWorld['ask']>) => {
  const response = await http.ask(...request);
  return `${response.statusCode} ${response.json().type}`.replace('urn:quietkeg:problem:', '');
};

/** One entry of every kind, with every field that it may have. */
const ENTRIES: Readonly<Record<EventKind, object>> = {
  'keg-filled': {
    ...aFilling({
      diameterMetres: 0.22,
      beerCelsius: 18,
      fermentedAtCelsius: 20,
      onGasSince: iso(NOON),
      altitudeMetres: 700,
    }),
  },
  'keg-emptied': {},
  'target-set': { volumes: 2.4, tolerance: 0.1, celsius: 1 },
  'fridge-set': { celsius: 1, place: 'fridge' },
  'regulator-set': { kpaGauge: 70, supply: 'gas' },
  'cylinder-changed': { supply: 'gas' },
  'headspace-purged': { times: 5, kpaGauge: 100 },
  'gas-opened': {},
  'gas-closed': {},
  'keg-vented': {},
  'keg-moved': {},
  'keg-shaken': { seconds: 60 },
  'beer-drawn': { litres: 0.5 },
  'diffusion-stone-started': {},
  'gas-check-started': { shaken: true },
  'gas-check-ended': {},
  'keg-weighed': { kg: 23.4, plusMinusKg: 0.1 },
  'sample-measured': { volumes: 2.4, plusMinus: 0.1 },
  'probe-zeroed': {},
  'line-cleaned': {},
  'bottles-chilled': {},
  'fill-started': {},
  'fill-ended': {},
  note: { text: 'tastes fine' },
};

describe('events', () => {
  test('there are 24 kinds', () => {
    expect(EVENT_KINDS).toHaveLength(24);
    expect(Object.keys(ENTRIES).toSorted()).toEqual(EVENT_KINDS.toSorted());
  });

  test.each(Object.entries(ENTRIES))('%s is accepted, kept and listed as it was entered', async (kind, fields) => {
    if (kind === 'keg-emptied') await ask('POST', '/kegs/one/events', { at: iso(NOON - HOUR), ...aFilling() });
    const entry = { kind, at: '2026-06-01T13:30:00+02:00', ...fields };
    const posted = await ask('POST', '/kegs/one/events', entry);
    expect(posted.statusCode).toBe(201);
    const kept = posted.json();
    expect(kept).toMatchObject({ ...fields, kind, at: iso(NOON - HOUR / 2), enteredAt: iso(NOON) });
    const { events } = EventList.parse((await ask('GET', '/kegs/one/events')).json());
    expect(events.find(({ eventId }) => eventId === kept.eventId)).toEqual(kept);
  });

  test.each(EVENT_KINDS)('%s with a field that it does not have is refused', async (kind) => {
    const entry = { kind, at: iso(NOON), ...ENTRIES[kind], colour: 'red' };
    expect(await codeOf('POST', '/kegs/one/events', entry)).toBe('400 body-invalid');
  });

  test.each(EVENT_KINDS.filter((kind) => !SHARED_KINDS.includes(kind)))('%s cannot be of a place', async (kind) => {
    const entry = { kind, at: iso(NOON), ...ENTRIES[kind], place: 'fridge' };
    expect(await codeOf('POST', '/kegs/one/events', entry)).toBe('400 body-invalid');
  });

  test.each([
    [{}, /kind/],
    [{ kind: 'keg-dropped', at: iso(NOON) }, /kind/],
    [{ kind: 'note', text: 'x' }, /at/],
    [{ kind: 'note', at: 'now', text: 'x' }, /RFC 3339/],
    [{ kind: 'note', at: '2026-06-01T12:00:00', text: 'x' }, /RFC 3339/],
    [{ kind: 'note', at: iso(NOON), text: ' ' }, /text/],
    [{ kind: 'target-set', at: iso(NOON), volumes: 2.4, tolerance: 0.05 }, /tolerance/],
    [{ kind: 'beer-drawn', at: iso(NOON), litres: 0 }, /litres/],
    [{ kind: 'headspace-purged', at: iso(NOON), times: 1.5 }, /times/],
    [{ kind: 'keg-filled', at: iso(NOON), totalLitres: 19 }, /beerLitres/],
    [{ kind: 'keg-filled', at: iso(NOON), totalLitres: 19, beerLitres: 20 }, /do not go into/],
    [{ kind: 'note', at: iso(NOON + HOUR), text: 'x' }, /future/],
  ])('%j is refused, and the place is named', async (entry, detail) => {
    const response = await ask('POST', '/kegs/one/events', entry);
    expect(response.statusCode).toBe(400);
    expect(response.json().detail).toMatch(detail);
  });

  test('times never zero are kept as such: purged no times is not unknown', async () => {
    const entry = { kind: 'headspace-purged', at: iso(NOON), times: 0 };
    expect((await ask('POST', '/kegs/one/events', entry)).json()).toMatchObject({ times: 0 });
  });

  test('are corrected and withdrawn, and the batch follows', async () => {
    const filled = (await ask('POST', '/kegs/one/events', { at: iso(NOON - HOUR), ...aFilling() })).json();
    const path = `/kegs/one/events/${filled.eventId}`;
    const put = await ask('PUT', path, { at: iso(NOON - 3 * HOUR), ...aFilling() });
    expect(put.json()).toMatchObject({ eventId: filled.eventId, at: iso(NOON - 3 * HOUR) });
    expect((await ask('GET', `/batches/${filled.eventId}`)).json().beganAt).toBe(iso(NOON - 3 * HOUR));
    expect((await ask('GET', '/kegs/one/state')).json().batchId).toBe(filled.eventId);
    expect((await ask('DELETE', path)).statusCode).toBe(204);
    expect(await codeOf('GET', `/batches/${filled.eventId}`)).toBe('404 batch-unknown');
    expect((await ask('GET', '/kegs/one/state')).json().batchId).toBeNull();
  });

  test('of what is unknown are refused', async () => {
    const note = { kind: 'note', at: iso(NOON), text: 'x' };
    expect(await codeOf('GET', '/kegs/two/events')).toBe('404 keg-unknown');
    expect(await codeOf('POST', '/kegs/two/events', note)).toBe('404 keg-unknown');
    expect(await codeOf('PUT', '/kegs/one/events/nothing', note)).toBe('404 event-unknown');
    expect(await codeOf('DELETE', '/kegs/one/events/nothing')).toBe('404 event-unknown');
    expect(
      await codeOf('POST', '/kegs/one/events', {
        ...ENTRIES['fridge-set'],
        kind: 'fridge-set',
        at: iso(NOON),
        place: 'attic',
      }),
    ).toBe('404 place-unknown');
    expect(await codeOf('POST', '/kegs/one/events', { kind: 'keg-emptied', at: iso(NOON) })).toBe(
      '400 event-misplaced',
    );
  });
});

describe('batches', () => {
  test('are started, told, described and listed newest first', async () => {
    const posted = await ask('POST', '/kegs/one/batch', {
      name: 'Harvest Amber',
      at: iso(NOON - 5 * HOUR),
      abvPercent: 5,
    });
    expect(posted.statusCode).toBe(201);
    const batch = Batch.parse(posted.json());
    expect(batch).toMatchObject({ name: 'Harvest Amber', abvPercent: 5, endedAt: null });
    expect((await ask('GET', `/batches/${batch.batchId}`)).json()).toEqual(batch);
    const patched = await ask('PATCH', `/batches/${batch.batchId}`, { style: 'Amber', abvPercent: null });
    expect(patched.json()).toEqual({ ...batch, style: 'Amber', abvPercent: null });
    await ask('POST', '/kegs/one/events', { kind: 'keg-emptied', at: iso(NOON - 2 * HOUR) });
    await ask('POST', '/kegs/one/batch', { name: 'Pale' });
    const { batches } = BatchList.parse((await ask('GET', '/batches')).json());
    expect(batches.map(({ name, endedAt }) => [name, endedAt])).toEqual([
      ['Pale', null],
      ['Harvest Amber', iso(NOON - 2 * HOUR)],
    ]);
  });

  test('have limits of their own, which their verdict goes by', async () => {
    const batchId = http.world.fill();
    await http.world.minutes(4, 2.1, 50);
    const stateOf = async (name: string) => {
      const { checks } = KegState.parse((await ask('GET', '/kegs/one/state')).json()).verdict;
      return checks.find((check) => check.name === name);
    };
    expect(await stateOf('serving-pressure')).toMatchObject({ state: 'act', wantedLow: 55 });
    const limits = { servingKpaLow: 40, coldMarginC: 0.6, restHours: 48 };
    expect((await ask('PATCH', `/batches/${batchId}`, { limits })).json()).toMatchObject({ limits });
    expect(await stateOf('serving-pressure')).toMatchObject({ state: 'pass', wantedLow: 40 });
    expect(await stateOf('cold')).toMatchObject({ state: 'pass', wantedHigh: 2.6 });
    expect(await stateOf('at-rest')).toMatchObject({ state: 'wait', wantedLow: 48 });
    // All that are to differ are told at once; what is left out is usual again.
    await ask('PATCH', `/batches/${batchId}`, { limits: {} });
    expect(await stateOf('serving-pressure')).toMatchObject({ state: 'act', wantedLow: 55 });
    const refused = await ask('PATCH', `/batches/${batchId}`, { limits: { servingKpaLow: 90 } });
    expect(refused.statusCode).toBe(400);
    expect(refused.json().detail).toMatch(/servingKpaHigh.*must be above servingKpaLow/);
  });

  test('tell their curve from filling to emptying', async () => {
    const batchId = http.world.fill();
    await http.world.minutes(5, 4, 70);
    const response = await ask('GET', `/batches/${batchId}/curve?points=50`);
    expect(response.json()).toMatchObject({ kegId: 'one', batchId });
    expect(response.json().columns.time.length).toBeGreaterThan(0);
    expect(await codeOf('GET', '/batches/nothing/curve')).toBe('404 batch-unknown');
    expect(await codeOf('GET', `/batches/${batchId}/curve?points=0`)).toBe('400 body-invalid');
  });

  test('that are wrong, unknown or in the way are refused', async () => {
    expect(await codeOf('POST', '/kegs/one/batch', {})).toBe('400 body-invalid');
    expect(await codeOf('POST', '/kegs/one/batch', { name: 'x', abvPercent: 21 })).toBe('400 body-invalid');
    expect(await codeOf('POST', '/kegs/one/batch', { name: 'x', beerLitres: 50 })).toBe('400 body-invalid');
    expect(await codeOf('POST', '/kegs/two/batch', { name: 'x' })).toBe('404 keg-unknown');
    await ask('POST', '/kegs/one/batch', { name: 'x' });
    expect(await codeOf('POST', '/kegs/one/batch', { name: 'y' })).toBe('409 batch-open');
    expect(await codeOf('PATCH', '/batches/nothing', { name: 'x' })).toBe('404 batch-unknown');
    expect(await codeOf('PATCH', '/batches/nothing', { colour: 'x' })).toBe('400 body-invalid');
  });
});

describe('alerts', () => {
  const coldAlert = async () => {
    http.world.fill();
    await http.world.minutes(12, 1.9, 70);
    const { alerts } = AlertList.parse((await ask('GET', '/alerts?open=true')).json());
    return alerts[0]?.id ?? '';
  };

  test('are listed open or all, in the contract’s form', async () => {
    const id = await coldAlert();
    expect((await ask('GET', '/alerts?open=true')).json().alerts).toMatchObject([
      { id, rule: 'cold-enough', kegId: 'one', state: 'active', level: 'news', endedAt: null, unverified: false },
    ]);
    await http.world.minutes(1, 9, 70);
    expect((await ask('GET', '/alerts?open=true')).json()).toEqual({ alerts: [] });
    expect((await ask('GET', '/alerts')).json().alerts).toMatchObject([{ id, state: 'ended' }]);
    expect(await codeOf('GET', '/alerts?open=maybe')).toBe('400 body-invalid');
  });

  test('are acknowledged and muted, and the mute taken back', async () => {
    const id = await coldAlert();
    const now = iso(http.world.clock.nowMs());
    expect((await ask('POST', `/alerts/${id}/acknowledgement`)).json()).toMatchObject({ id, acknowledgedAt: now });
    const muted = await ask('POST', `/alerts/${id}/mute`, { hours: 8 });
    expect(muted.json().mutedUntil).toBe(iso(http.world.clock.nowMs() + 8 * HOUR));
    expect((await ask('DELETE', `/alerts/${id}/mute`)).json()).toMatchObject({ acknowledgedAt: now, mutedUntil: null });
  });

  test('that are unknown, or muted for too long, are refused', async () => {
    const id = await coldAlert();
    expect(await codeOf('POST', '/alerts/nothing/acknowledgement')).toBe('404 alert-unknown');
    expect(await codeOf('POST', '/alerts/nothing/mute', { hours: 1 })).toBe('404 alert-unknown');
    expect(await codeOf('DELETE', '/alerts/nothing/mute')).toBe('404 alert-unknown');
    expect(await codeOf('POST', `/alerts/${id}/mute`, { hours: 0 })).toBe('400 body-invalid');
    expect(await codeOf('POST', `/alerts/${id}/mute`, { hours: 169 })).toBe('400 body-invalid');
    expect(await codeOf('POST', `/alerts/${id}/mute`, {})).toBe('400 body-invalid');
  });
});

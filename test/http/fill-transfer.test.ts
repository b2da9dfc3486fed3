/**
 * Aim: fills with their bottles, and kept plans, move to another instance whole, once, and without doubling what they wrote.
 * Method: two services; what one gives out is sent to the other, and what that gives out is compared text by text.
 */
import { afterEach, beforeEach, expect, test } from 'vitest';
import { eventLine } from '../../src/app/export-lines.ts';
import { fillLineText } from '../../src/app/fill-lines.ts';
import type { KegPast } from '../../src/app/keg-export.ts';
import { HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { uuid } from '../support/fills.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { LIGHT_MODEL } from '../support/light-model.ts';
import { World } from '../support/world.ts';

let from: HttpWorld;
let to: HttpWorld;
beforeEach(async () => {
  from = await anHttpWorld(await World.make({ estimating: true, model: LIGHT_MODEL }));
  to = await anHttpWorld();
  const { world } = from;
  world.fill();
  const yesterday = iso(NOON - 24 * HOUR);
  world.services.kegChanges.addEvent('one', { kind: 'gas-opened', at: yesterday });
  world.services.kegChanges.addEvent('one', { kind: 'fridge-set', place: 'fridge', celsius: 4, at: yesterday });
  for (let minute = 0; minute < 240; minute += 5) {
    world.clock.advance(5 * MINUTE);
    await world.beer(4);
    await world.headspace(70);
  }
  await world.estimated();
  to.world.clock.advance(world.clock.nowMs() - to.world.clock.nowMs());
});
afterEach(async () => {
  for (const http of [from, to]) {
    await http.server.close();
    expect(http.mistakes).toEqual([]);
  }
});

async function past({ world }: HttpWorld): Promise<KegPast> {
  const found = await world.services.kegExport.past('one', { fromMs: 0, toMs: world.clock.nowMs() + HOUR });
  if (found === null) throw new Error('nothing is known of the keg');
  return found;
}

const textOf = ({ keg, events, fills }: KegPast) => [
  ...events.map((event) => eventLine(keg.kegId, event)),
  ...fills.map(fillLineText),
];

/** As the import command sends it. */
function portion({ about, events, fills }: KegPast) {
  const entries = events.map(({ eventId, enteredAtMs, atMs, subject, body }) => ({
    keg: 'one',
    eventId,
    enteredAt: iso(enteredAtMs),
    entry: { ...body, at: iso(atMs), ...(subject.kind === 'keg' ? {} : { [subject.kind]: subject.id }) },
  }));
  return { about, events: entries, fills: fills.map((line) => JSON.parse(fillLineText(line))) };
}

async function fillSome({ ask, world }: HttpWorld): Promise<void> {
  await ask('POST', '/fills', { kegId: 'one', fillId: 'f1', planned: [{ count: 4, sizeL: 0.5 }] });
  for (const number of [1, 2, 3, 4]) await ask('PUT', `/fills/f1/bottles/${uuid(number)}`, { sizeL: 0.5 });
  await ask('PUT', `/fills/f1/bottles/${uuid(2)}`, { note: 'foamy', remark: 'ran “over”', destination: 'gift' });
  await ask('PUT', `/fills/f1/bottles/${uuid(1)}`, { tasting: { text: 'Bright', opinion: 'good' } });
  await ask('DELETE', `/fills/f1/bottles/${uuid(4)}`);
  world.clock.advance(MINUTE);
  await ask('PATCH', '/fills/f1', { endedAt: iso(world.clock.nowMs()), lostL: 0.3, remark: 'calm' });
  const fillAt = iso(NOON + 6 * 24 * HOUR);
  const kept = await ask('POST', '/plans', { kegId: 'one', fillAt, bottles: '6x0.33' });
  expect(kept.statusCode).toBe(201);
}

test('what goes out comes in, and goes out the same', async () => {
  await fillSome(from);
  const first = await past(from);
  expect(first.fills.map(({ kind }) => kind)).toEqual(['fill', ...Array(4).fill('bottle'), 'fill-plan']);
  to.world.clock.advance(from.world.clock.nowMs() - to.world.clock.nowMs());
  const answer = await to.ask('POST', '/import', portion(first));
  expect(answer.json()).toMatchObject({ fills: { added: 6, known: 0, refused: [] }, events: { refused: [] } });
  expect(textOf(await past(to))).toEqual(textOf(first));
  // What a fill wrote came in with the entries and is there once.
  const kinds = (await past(to)).events.map(({ body }) => body.kind);
  for (const kind of ['fill-started', 'beer-drawn', 'fill-ended'])
    expect(kinds.filter((one) => one === kind)).toHaveLength(1);

  expect((await to.ask('GET', '/fills/f1')).json()).toEqual((await from.ask('GET', '/fills/f1')).json());
  const { plans } = (await to.ask('GET', '/plans')).json();
  expect(plans).toEqual((await from.ask('GET', '/plans')).json().plans);
  expect((await to.world.restart(MINUTE)).services.fillPlans.list().plans).toHaveLength(1);
});

test('twice is once, and what was changed here meanwhile stays', async () => {
  await fillSome(from);
  const sent = portion(await past(from));
  to.world.clock.advance(from.world.clock.nowMs() - to.world.clock.nowMs());
  await to.ask('POST', '/import', sent);
  await to.ask('PUT', `/fills/f1/bottles/${uuid(3)}`, { destination: 'party' });
  const before = textOf(await past(to));
  const again = await to.ask('POST', '/import', sent);
  expect(again.json()).toMatchObject({ fills: { added: 0, known: 6, refused: [] }, events: { added: 0 } });
  expect(textOf(await past(to))).toEqual(before);
  // A telephone that comes back late does not bring the bottle that was taken back.
  expect((await to.ask('PUT', `/fills/f1/bottles/${uuid(4)}`, { sizeL: 0.5 })).json().type).toMatch(/bottle-removed$/);
});

test('fills without entries write them, however they are cut into portions', async () => {
  await fillSome(from);
  const { fills } = portion(await past(from));
  to.world.clock.advance(from.world.clock.nowMs() - to.world.clock.nowMs());
  for (const line of fills) expect((await to.ask('POST', '/import', { fills: [line] })).json().fills.added).toBe(1);
  const drawn = (await past(to)).events.flatMap(({ body }) => (body.kind === 'beer-drawn' ? [body.litres] : []));
  expect(drawn).toEqual([1.8]);
});

test('an entry of a fill that somebody corrected stays corrected', async () => {
  await fillSome(from);
  const { kegChanges } = from.world.services;
  const found = (await past(from)).events.find(({ body }) => body.kind === 'beer-drawn');
  kegChanges.correctEvent('one', found?.eventId ?? '', {
    kind: 'beer-drawn',
    at: iso(found?.atMs ?? 0),
    litres: 2.5,
  });
  const first = await past(from);
  to.world.clock.advance(from.world.clock.nowMs() - to.world.clock.nowMs());
  await to.ask('POST', '/import', portion(first));
  expect(textOf(await past(to))).toEqual(textOf(first));
});

test('what does not fit is refused by its line', async () => {
  await fillSome(from);
  const { fills } = portion(await past(from));
  const [fill, bottle] = fills;
  to.world.clock.advance(from.world.clock.nowMs() - to.world.clock.nowMs());
  const reasons = async (lines: object[]) => {
    const answer = await to.ask('POST', '/import', { fills: lines });
    return answer.json().fills.refused.map((one: { index: number; reason: string }) => `${one.index} ${one.reason}`);
  };
  expect(await reasons([bottle])).toEqual([expect.stringMatching(/^0 fillId: there is no fill f1 here/)]);
  expect(await reasons([fill, bottle, { ...bottle, bottleId: uuid(9) }])).toEqual([
    expect.stringMatching(/^2 number: bottle 1 of this fill is .* here/),
  ]);
  expect(await reasons([{ ...fill, keg: 'two' }])).toEqual(['0 fillId: the fill f1 is one of the keg one here']);
  expect(await reasons([{ ...bottle, keg: 'two', bottleId: uuid(9), number: 9 }])).toEqual([
    expect.stringMatching(/^0 keg: the fill f1 is one of another keg/),
  ]);
  const open = { ...fill, endedAt: null };
  expect(
    await reasons([
      { ...open, fillId: 'f2' },
      { ...open, fillId: 'f3' },
    ]),
  ).toEqual([expect.stringMatching(/^1 endedAt: bottles are being filled from one here; end the fill f2 first/)]);
  expect(await reasons([{ ...fill, fillId: 'f4', t: '2999-01-01T00:00:00Z' }])).toEqual([
    expect.stringMatching(/^0 t: this lies in the future/),
  ]);
  expect(await reasons([{ ...fill, fillId: 'f5', endedAt: iso(0) }])).toEqual([
    '0 endedAt: a fill ends after it began',
  ]);
});

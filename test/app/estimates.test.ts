import { describe, expect, test } from 'vitest';
import { Replay } from '../../src/app/replay.ts';
import { replayEvents } from '../../src/app/replay-feed.ts';
import { type EventEntry, ProbeSetting } from '../../src/contract/index.ts';
import { iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { settle } from '../support/until.ts';
import { World } from '../support/world.ts';

const HOUR = 60 * MINUTE;
const QUARTER = 15 * MINUTE;

interface Sent {
  readonly quantity: 'beer-temperature' | 'headspace-pressure';
  readonly atMs: number;
  readonly value: number;
}

const topic = (quantity: Sent['quantity']) => `probes/one/${quantity}`;

/** A keg in a fridge that cycles, on gas that is closed for four hours on the way. */
function measured(fromMs: number, hours: number, closedAtHour = Number.POSITIVE_INFINITY): Sent[] {
  const sent: Sent[] = [];
  for (let atMs = fromMs + 30 * SECOND; atMs <= fromMs + hours * HOUR; atMs += 2 * MINUTE) {
    const hour = (atMs - fromMs) / HOUR;
    const closedHours = Math.min(4, Math.max(0, hour - closedAtHour));
    const isClosed = closedHours > 0 && closedHours < 4;
    const kpa = 85 - (isClosed ? 9 * (1 - Math.exp(-closedHours / 1.5)) : 0) + 0.3 * Math.sin(hour * 9);
    sent.push({ quantity: 'beer-temperature', atMs, value: 4 + 0.4 * Math.sin(hour * 3) });
    sent.push({ quantity: 'headspace-pressure', atMs: atMs + 10 * SECOND, value: kpa });
  }
  return sent;
}

/** Lets time come to each message and sends it. */
async function live(world: World, messages: readonly Sent[], atOnce: Partial<Record<number, () => unknown>> = {}) {
  for (const [index, { quantity, atMs, value }] of messages.entries()) {
    if (atMs > world.clock.nowMs()) world.clock.advanceTo(atMs);
    await atOnce[index]?.();
    const payload = JSON.stringify({ value, time: iso(atMs) });
    expect(await world.hear(topic(quantity), payload)).toEqual([]);
    world.tick();
    await settle(1);
  }
  // The last step is computed a little after its end.
  world.clock.advance(15 * SECOND);
  await world.estimated();
}

const FILLED: EventEntry = {
  kind: 'keg-filled',
  at: iso(NOON),
  totalLitres: 19.5,
  beerLitres: 18.9,
  beerState: 'flat',
  probe: 'thermowell',
};

async function aWorld(): Promise<World> {
  const world = await World.make({ estimating: true, clock: new FakeClock(NOON) });
  world.services.kegChanges.putKeg('one', {});
  enter(world, FILLED);
  return world;
}

function enter(world: World, entry: EventEntry): string {
  const added = world.services.kegChanges.addEvent('one', entry);
  if (!added.ok) throw new Error(added.detail);
  return added.value.eventId;
}

const batchOf = (world: World) => world.services.register.batches().find(({ kegId }) => kegId === 'one')?.batchId ?? '';

async function history(world: World, batchId = batchOf(world)) {
  const points = await world.estimates.history(batchId, NOON, NOON + 365 * 24 * HOUR);
  return points.map(({ atMs, volumes, low, high }) => ({ atMs, volumes, low, high }));
}

/** What a replay says of the same, as it rounds. */
function replayed(messages: readonly Sent[], entries: readonly EventEntry[]) {
  const replay = new Replay({ kegId: 'one', events: replayEvents('one', entries), everyMs: QUARTER, seed: 1 });
  return messages.flatMap(({ quantity, atMs, value }) => {
    const taken = replay.take({ quantity, atMs, value, unit: null });
    if (!taken.ok) throw new Error(taken.reason);
    return taken.lines.map(({ t, dissolvedVolumes: volumes, low, high }) => ({
      atMs: Date.parse(t),
      volumes,
      low,
      high,
    }));
  });
}

const rounded = (points: Awaited<ReturnType<typeof history>>) =>
  points.map((point) => ({
    atMs: point.atMs,
    volumes: Number(point.volumes.toFixed(4)),
    low: Number(point.low.toFixed(4)),
    high: Number(point.high.toFixed(4)),
  }));

describe('the running estimate', () => {
  test('is shown with its band, and the verdict rests on it', async () => {
    const world = await aWorld();
    await live(world, measured(NOON, 2));
    const { dissolved, belief, verdict, readyIn } = world.state();
    expect(dissolved?.low).toBeLessThan(dissolved?.volumes ?? 0);
    expect(dissolved?.high).toBeGreaterThan(dissolved?.volumes ?? 9);
    // Flat beer two hours on gas: little more than what fermentation left, and far from ready.
    expect(dissolved?.volumes).toBeGreaterThan(0.6);
    expect(dissolved?.volumes).toBeLessThan(1.5);
    expect(belief).toMatchObject({ leak: 'none' });
    expect(readyIn?.hours).toBeGreaterThan(12);
    const carbonation = verdict.checks.find(({ name }) => name === 'carbonation');
    expect(carbonation).toMatchObject({ state: 'wait' });
    expect(carbonation?.measured).toMatch(/volumes$/);
  });

  test('says what a replay of the same readings and entries says', async () => {
    const world = await aWorld();
    const messages = measured(NOON, 12, 4);
    const closed: EventEntry = { kind: 'gas-check-started', at: iso(NOON + 4 * HOUR) };
    const ended: EventEntry = { kind: 'gas-check-ended', at: iso(NOON + 8 * HOUR) };
    const first = messages.findIndex(({ atMs }) => atMs >= NOON + 4 * HOUR);
    const last = messages.findIndex(({ atMs }) => atMs >= NOON + 8 * HOUR);
    await live(world, messages, { [first]: () => enter(world, closed), [last]: () => enter(world, ended) });
    const said = replayed(messages, [FILLED, closed, ended]);
    const shown = rounded(await history(world));
    expect(said.length).toBeGreaterThan(45);
    expect(shown.filter(({ atMs }) => said.some((one) => one.atMs === atMs))).toEqual(
      said.filter(({ atMs }) => atMs > NOON),
    );
  });
});

const messages = measured(NOON, 9, 3);
const closed: EventEntry = { kind: 'gas-check-started', at: iso(NOON + 3 * HOUR) };
const closing = messages.findIndex(({ atMs }) => atMs >= NOON + 3 * HOUR);

async function straight() {
  const world = await aWorld();
  await live(world, messages, { [closing]: () => enter(world, closed) });
  return { world, points: await history(world) };
}

describe('a restart', () => {
  test('a restart in the middle changes nothing', async () => {
    const { points } = await straight();
    const half = messages.findIndex(({ atMs }) => atMs >= NOON + 6 * HOUR + 7 * MINUTE);
    const before = await aWorld();
    await live(before, messages.slice(0, half), { [closing]: () => enter(before, closed) });
    await before.estimates.stop();
    expect(before.shelf.times().size).toBe(1);
    const after = await before.restart();
    await live(after, messages.slice(half));
    expect(await history(after)).toEqual(points);
    expect(after.state().dissolved).not.toBeNull();
  });

  test('nor does one after which nothing was put aside', async () => {
    const { points } = await straight();
    const half = messages.findIndex(({ atMs }) => atMs >= NOON + 6 * HOUR + 7 * MINUTE);
    const before = await aWorld();
    await live(before, messages.slice(0, half), { [closing]: () => enter(before, closed) });
    const after = await before.restart();
    await live(after, messages.slice(half));
    expect((await history(after)).slice(-20)).toEqual(points.slice(-20));
  });
});

describe('late readings', () => {
  for (const [what, lateByMs] of [
    ['a little late', 7 * MINUTE],
    ['hours late', 4 * HOUR],
  ] as const) {
    test(`readings that come ${what} give what they would have given in time`, async () => {
      const { points } = await straight();
      const world = await aWorld();
      const isLate = ({ atMs, quantity }: Sent) =>
        quantity === 'headspace-pressure' && atMs > NOON + 4 * HOUR && atMs < NOON + 4.5 * HOUR;
      const inTime = messages.filter((message) => !isLate(message));
      const order = [...inTime, ...messages.filter(isLate)].toSorted(
        (a, b) => a.atMs + (isLate(a) ? lateByMs : 0) - (b.atMs + (isLate(b) ? lateByMs : 0)),
      );
      const at = order.findIndex(({ atMs }) => atMs >= NOON + 3 * HOUR);
      await live(world, order, { [at]: () => enter(world, closed) });
      // A crowd of old readings is waited for.
      world.go(3);
      world.clock.advance(3 * SECOND);
      await world.estimated();
      expect(await history(world)).toEqual(points);
    });
  }
});

describe('late and changed entries', () => {
  test('an entry that comes late gives what it would have given in time', async () => {
    const { points } = await straight();
    for (const lateHours of [1, 5]) {
      const world = await aWorld();
      const at = messages.findIndex(({ atMs }) => atMs >= NOON + (3 + lateHours) * HOUR);
      await live(world, messages, { [at]: () => enter(world, closed) });
      expect(await history(world)).toEqual(points);
    }
  });

  test('so does one that is corrected, and one that is withdrawn', async () => {
    const { points } = await straight();
    const world = await aWorld();
    const ids: string[] = [];
    const last = messages.length - 1;
    await live(world, messages, {
      [closing]: () => {
        ids.push(enter(world, { kind: 'gas-check-started', at: iso(NOON + 2 * HOUR) }));
        ids.push(enter(world, { kind: 'keg-shaken', at: iso(NOON + 3 * HOUR), seconds: 60 }));
      },
      [last]: () => {
        const [check = '', shaken = ''] = ids;
        expect(world.services.kegChanges.correctEvent('one', check, closed).ok).toBe(true);
        expect(world.services.kegChanges.withdrawEvent('one', shaken).ok).toBe(true);
      },
    });
    expect(await history(world)).toEqual(points);
  });

  test('a calibration that changes is computed from the beginning', async () => {
    const { world, points } = await straight();
    const setting = ProbeSetting.parse({
      topic: topic('headspace-pressure'),
      of: 'one',
      quantity: 'headspace-pressure',
      calibration: [{ from: iso(NOON), offset: 12, gain: 1 }],
    });
    const put = world.services.probeChanges.put('one.headspace-pressure', setting);
    expect(put.ok).toBe(true);
    await world.estimated();
    const after = await history(world);
    expect(after.length).toBe(points.length);
    expect(after.at(-1)?.volumes).toBeGreaterThan(points.at(-1)?.volumes ?? 9);
  });
});

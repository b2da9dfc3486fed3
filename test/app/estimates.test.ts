import { describe, expect, test } from 'vitest';
import { MemoryReadingStore } from '../../src/adapters/memory/memory-reading-store.ts';
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
  for (let atMs = fromMs + 30 * SECOND; atMs <= fromMs + hours * HOUR; atMs += 4 * MINUTE) {
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

/** A store that does not answer for a while. */
class AwayStore extends MemoryReadingStore {
  isAway = true;
  readonly #inside: MemoryReadingStore;

  constructor(inside: MemoryReadingStore) {
    super();
    this.#inside = inside;
  }

  override async range(...asked: Parameters<MemoryReadingStore['range']>) {
    if (this.isAway) throw new Error('the store is away');
    return this.#inside.range(...asked);
  }

  override extents() {
    return this.#inside.extents();
  }

  override latest(...asked: Parameters<MemoryReadingStore['latest']>) {
    return this.#inside.latest(...asked);
  }
}

function aKegOf(world: World) {
  const keg = world.services.register.keg('one');
  if (keg === null) throw new Error('there is no keg');
  return keg;
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

function memo<T>(make: () => Promise<T>): () => Promise<T> {
  let made: Promise<T> | null = null;
  return () => {
    made ??= make();
    return made;
  };
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

const messages = measured(NOON, 7, 2);
const closed: EventEntry = { kind: 'gas-check-started', at: iso(NOON + 2 * HOUR) };
const closing = messages.findIndex(({ atMs }) => atMs >= NOON + 2 * HOUR);

/** What all is said when everything comes in time; worked out once. */
const straight = memo(async () => {
  const world = await aWorld();
  await live(world, messages, { [closing]: () => enter(world, closed) });
  return { world, points: await history(world) };
});

describe('a restart', () => {
  test('a restart in the middle changes nothing', async () => {
    const { points } = await straight();
    const half = messages.findIndex(({ atMs }) => atMs >= NOON + 5 * HOUR + 7 * MINUTE);
    const before = await aWorld();
    await live(before, messages.slice(0, half), { [closing]: () => enter(before, closed) });
    await before.estimates.stop();
    expect(before.shelf.times().size).toBe(1);
    const { kind, since } = before.state().verdict;
    const after = await before.restart();
    // A start is no news, although nothing is known of the beer in its first moments.
    expect(after.state()).toMatchObject({ dissolved: null, verdict: { since } });
    await after.estimated();
    after.tick();
    expect(after.state().verdict).toMatchObject({ kind, since });
    await live(after, messages.slice(half));
    expect(await history(after)).toEqual(points);
    expect(after.state().dissolved).not.toBeNull();
  });

  test('nor does one after which nothing was put aside', async () => {
    const { points } = await straight();
    const half = messages.findIndex(({ atMs }) => atMs >= NOON + 5 * HOUR + 7 * MINUTE);
    const before = await aWorld();
    await live(before, messages.slice(0, half), { [closing]: () => enter(before, closed) });
    const after = await before.restart();
    await live(after, messages.slice(half));
    expect(await history(after)).toEqual(points);
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
      const at = order.findIndex(({ atMs }) => atMs >= NOON + 2 * HOUR);
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
    for (const lateHours of [1, 4]) {
      const world = await aWorld();
      const at = messages.findIndex(({ atMs }) => atMs >= NOON + (2 + lateHours) * HOUR);
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
        ids.push(enter(world, { kind: 'gas-check-started', at: iso(NOON + HOUR) }));
        ids.push(enter(world, { kind: 'keg-shaken', at: iso(NOON + 2 * HOUR), seconds: 60 }));
      },
      [last]: () => {
        const [check = '', shaken = ''] = ids;
        expect(world.services.kegChanges.correctEvent('one', check, closed).ok).toBe(true);
        expect(world.services.kegChanges.withdrawEvent('one', shaken).ok).toBe(true);
      },
    });
    expect(await history(world)).toEqual(points);
  });

  test('a calibration that is entered late gives what it would have given from the start', async () => {
    const { points } = await straight();
    const setting = ProbeSetting.parse({
      topic: topic('headspace-pressure'),
      of: 'one',
      quantity: 'headspace-pressure',
      calibration: [{ from: iso(NOON), offset: 12, gain: 1 }],
    });
    const calibrate = (world: World) => {
      expect(world.services.probeChanges.put('one.headspace-pressure', setting).ok).toBe(true);
    };
    const early = await aWorld();
    calibrate(early);
    await live(early, messages, { [closing]: () => enter(early, closed) });
    const late = await aWorld();
    await live(late, messages, { [closing]: () => enter(late, closed) });
    calibrate(late);
    await late.estimated();
    expect(await history(late)).toEqual(await history(early));
    expect(await history(late)).not.toEqual(points);
  });
});

describe('past batches', () => {
  const messages = measured(NOON, 5);

  /** A keg that was emptied after five hours. */
  async function emptied(world: World) {
    await live(world, messages);
    const batchId = batchOf(world);
    enter(world, { kind: 'keg-emptied', at: iso(NOON + 5 * HOUR) });
    await world.estimated();
    return batchId;
  }

  test('keep their estimates, and the empty keg has none', async () => {
    const world = await aWorld();
    const batchId = await emptied(world);
    const points = await history(world, batchId);
    expect(points).toHaveLength(19);
    world.tick();
    expect(world.state()).toMatchObject({ dissolved: null, belief: null, readyIn: null });
    expect(world.estimates.fork('one')).toBeNull();
    // An emptying that is entered earlier takes what came after it away.
    const emptying = world.services.register.eventsOf(aKegOf(world)).find(({ body }) => body.kind === 'keg-emptied');
    const corrected = world.services.kegChanges.correctEvent('one', emptying?.eventId ?? '', {
      kind: 'keg-emptied',
      at: iso(NOON + 3 * HOUR),
    });
    expect(corrected.ok).toBe(true);
    await world.estimated();
    expect(await history(world, batchId)).toEqual(points.filter(({ atMs }) => atMs < NOON + 3 * HOUR));
  });

  test('are computed again when something late is heard or entered of them, also after a restart', async () => {
    const world = await aWorld();
    const batchId = await emptied(world);
    const points = await history(world, batchId);
    const change = { kind: 'keg-shaken', at: iso(NOON + HOUR), seconds: 120 } as const;
    const eventId = enter(world, change);
    await world.estimated();
    const shaken = await history(world, batchId);
    expect(shaken.at(-1)?.volumes).toBeGreaterThan((points.at(-1)?.volumes ?? 9) + 0.05);
    world.services.kegChanges.withdrawEvent('one', eventId);
    await world.estimated();
    expect(await history(world, batchId)).toEqual(points);
    // The service stops right after a late reading; what is computed next counts it.
    const late = { value: 140, time: iso(NOON + 2 * HOUR + SECOND) };
    for (let second = 0; second < 40; second += 1) {
      const time = iso(Date.parse(late.time) + second * 5000);
      await world.hear(topic('headspace-pressure'), JSON.stringify({ ...late, time }));
    }
    const again = await world.restart(SECOND);
    await again.estimated();
    expect((await history(again, batchId)).at(-1)).not.toEqual(points.at(-1));
  });

  test('a restart does not compute them again', async () => {
    const world = await aWorld();
    await emptied(world);
    const again = await world.restart(SECOND);
    expect(again.estimates.pending).toBe(0);
  });

  test('a keg that is filled again begins anew', async () => {
    const world = await aWorld();
    const first = await emptied(world);
    const points = await history(world, first);
    const filledMs = NOON + 6 * HOUR;
    world.clock.advanceTo(filledMs);
    enter(world, { ...FILLED, at: iso(filledMs) });
    await live(world, measured(filledMs, 1));
    const second = world.services.register.batchAt('one', filledMs)?.batchId ?? '';
    expect(second).not.toBe(first);
    expect(await history(world, second)).toHaveLength(3);
    expect(await history(world, first)).toEqual(points);
  });
});

describe('what a batch taught of its keg', () => {
  const taughtBy = measured(NOON, 5, 1);
  const refilledMs = NOON + 6 * HOUR;
  const check: EventEntry = { kind: 'gas-check-started', at: iso(NOON + HOUR) };

  /** A keg whose first batch was checked or not and emptied, and that is filled again. */
  async function refilled(checked: boolean) {
    const world = await aWorld();
    const at = taughtBy.findIndex(({ atMs }) => atMs >= NOON + HOUR);
    await live(world, taughtBy, checked ? { [at]: () => enter(world, check) } : {});
    enter(world, { kind: 'keg-emptied', at: iso(NOON + 5 * HOUR) });
    await world.estimated();
    world.clock.advanceTo(refilledMs);
    enter(world, { ...FILLED, at: iso(refilledMs) });
    await live(world, measured(refilledMs, 2));
    return world;
  }
  const secondOf = (world: World) => world.services.register.batchAt('one', refilledMs)?.batchId ?? '';

  test('is what its next one begins with, until it is forgotten', async () => {
    const world = await refilled(true);
    const learnt = world.services.learning.of('one');
    expect(learnt).toMatchObject({
      ok: true,
      value: { learnt: { batchName: expect.stringMatching(/^Filled/) }, forgottenAt: null },
    });
    const second = secondOf(world);
    const taught = await history(world, second);
    await world.estimates.stop();
    const again = await world.restart();
    await again.estimated();
    expect(again.services.learning.of('one')).toEqual(learnt);
    expect(await history(again, second)).toEqual(taught);

    expect(again.services.learning.forget('one').ok).toBe(true);
    await again.estimated();
    expect(again.services.learning.of('one')).toMatchObject({
      value: { learnt: null, forgottenAt: expect.any(String) },
    });
    const untaught = await history(again, second);
    expect(untaught).toHaveLength(taught.length);
    expect(untaught).not.toEqual(taught);
  });

  test('follows when that batch is corrected', async () => {
    const world = await refilled(false);
    const before = world.services.learning.of('one');
    const points = await history(world, secondOf(world));
    enter(world, check);
    await world.estimated();
    expect(world.services.learning.of('one')).not.toEqual(before);
    expect(await history(world, secondOf(world))).not.toEqual(points);
  });

  test('is not known of an unknown keg', async () => {
    const world = await aWorld();
    expect(world.services.learning.of('none')).toMatchObject({ ok: false, code: 'keg-unknown' });
    expect(world.services.learning.forget('none')).toMatchObject({ ok: false, code: 'keg-unknown' });
    expect(world.services.learning.of('one')).toMatchObject({ ok: true, value: { learnt: null } });
  });
});

describe('trouble', () => {
  test('while the store is away nothing is said, and it is tried until it answers', async () => {
    const world = await aWorld();
    await live(world, measured(NOON, 2));
    const points = await history(world);
    const again = await World.make({
      database: world.database,
      store: new AwayStore(world.store),
      estimating: true,
      clock: new FakeClock(world.clock.nowMs()),
    });
    const away = again.store as AwayStore;
    await settle();
    expect(again.estimates.output('one')).toBeNull();
    expect(again.log.lines.join()).toMatch(/cannot be estimated now: the store is away/);
    away.isAway = false;
    again.clock.advance(6 * SECOND);
    await again.estimated();
    expect(await history(again)).toEqual(points);
  });

  test('an estimate older than an hour is no word on now', async () => {
    const world = await aWorld();
    await live(world, measured(NOON, 1));
    expect(world.estimates.output('one')).not.toBeNull();
    world.clock.advance(2 * HOUR);
    expect(world.estimates.output('one')).toBeNull();
    // The probes are silent, yet the beer goes on.
    world.tick();
    await world.estimated();
    expect(world.estimates.output('one')?.dissolved).not.toBeNull();
  });

  test('a clock that leaps far ahead and comes back leaves nothing behind', async () => {
    const world = await aWorld();
    await live(world, measured(NOON, 2));
    const points = await history(world);
    world.clock.stepWall(3 * 24 * HOUR);
    world.tick();
    await world.estimated();
    world.clock.stepWall(-3 * 24 * HOUR);
    const atMs = world.clock.nowMs();
    await live(
      world,
      measured(NOON, 3).filter((one) => one.atMs > atMs),
    );
    world.clock.advance(5 * SECOND);
    await world.estimated();
    const straight = await aWorld();
    await live(straight, measured(NOON, 3));
    expect((await history(world)).filter((one) => one.atMs < NOON + 3 * HOUR)).toEqual(await history(straight));
    expect(points.length).toBe(7);
  });
});

/**
 * Aim: whenever the service ends, nobody misses anything, and what was on its way is repeated at most once.
 * Method: a day with every kind of trouble, run once undisturbed; then again for each write to the journal, with the
 * power gone at that write. What each channel got, without repeats, must be the same.
 */
import { describe, expect, test } from 'vitest';
import type { Delivery } from '../../src/ports/channel.ts';
import type { OutboxJournal, Shelf } from '../../src/ports/outbox-journal.ts';
import { MINUTE, SECOND } from '../support/builders.ts';
import { aChannel, aPerson, DeliveryWorld, TAKEN } from '../support/delivery-world.ts';

/** A journal whose power goes at a certain write, before or after it is on the disk, and stays gone. */
class Mains {
  #writes = 0;
  readonly #lastWrite: number;
  readonly #isKept: boolean;
  isOn = true;

  constructor(lastWrite: number, isKept: boolean) {
    this.#lastWrite = lastWrite;
    this.#isKept = isKept;
  }

  get writes(): number {
    return this.#writes;
  }

  #write(work: () => void): void {
    if (!this.isOn) throw new Error('no power');
    this.#writes += 1;
    const isLast = this.#writes === this.#lastWrite;
    if (!isLast || this.#isKept) work();
    if (!isLast) return;
    this.isOn = false;
    throw new Error('no power');
  }

  feed = (journal: OutboxJournal): OutboxJournal => {
    const shelf = <T>(inner: Shelf<T>): Shelf<T> => ({
      all: () => inner.all(),
      put: (id, value) => this.#write(() => inner.put(id, value)),
      remove: (id) => this.#write(() => inner.remove(id)),
    });
    return {
      channels: shelf(journal.channels),
      people: shelf(journal.people),
      subscriptions: shelf(journal.subscriptions),
      matters: shelf(journal.matters),
      threads: shelf(journal.threads),
      lanes: shelf(journal.lanes),
      spent: shelf(journal.spent),
      keys: shelf(journal.keys),
      together: (write) => journal.together(write),
    };
  };
}

const ways = [
  { channelId: 'mail', address: 'anna@club.example', step: 'first' },
  { channelId: 'relay', address: null, step: 'second' },
] as const;

/**
 * What the alert desk tells and how the channels are, and the minutes until the next. So far apart that a repetition after
 * a cut does not bring the limit about, which would change what is told together.
 */
const DAY: readonly (readonly [happen: (world: DeliveryWorld) => void, minutes: number])[] = [
  [(world) => world.episode('a'), 11],
  [(world) => world.episode('b', { level: 'urgent' }), 11],
  [
    (world) => {
      world.answers.set('mail', () => ({ kind: 'failed', answer: '451', isCertain: true, retryAfterMs: null }));
      world.episode('c');
    },
    1,
  ],
  [
    (world) => {
      world.end('a');
      world.end('c');
      world.answers.delete('mail');
    },
    11,
  ],
  [(world) => world.episode('d', { level: 'news' }), 11],
  [
    (world) => {
      for (const id of ['e', 'f', 'g', 'h', 'i']) world.episode(id);
    },
    11,
  ],
  [(world) => world.end('b'), 11],
  [
    (world) => {
      for (const id of ['d', 'e', 'f', 'g', 'h', 'i']) world.end(id);
    },
    11,
  ],
];

async function live(mains: Mains): Promise<DeliveryWorld> {
  let world = new DeliveryWorld();
  world.set([aChannel('mail'), aChannel('relay')], [aPerson({ ways, escalateAfterMs: 3 * MINUTE })]);
  world = new DeliveryWorld(world, mains.feed);
  const restarted = async () => {
    if (mains.isOn) return;
    mains.isOn = true;
    await world.outbox.stop();
    world = new DeliveryWorld(world, mains.feed);
  };
  for (const [happen, minutes] of DAY) {
    happen(world);
    for (let step = 0; step < 2 * minutes + 8; step += 1) {
      await restarted();
      await world.go(step < 8 ? SECOND : 30 * SECOND, 30 * SECOND);
    }
  }
  return world;
}

/**
 * What a channel took, each message once however often it came. Where the answer of a failed attempt was cut off, it may
 * have arrived, so it is repeated before its end instead of being combined with it: both count as begin and end.
 */
function heard(world: DeliveryWorld, channelId: string): string[] {
  const taken = world.sent.filter((one) => one.channelId === channelId && one.isTaken);
  const once = new Map(taken.map(({ message }) => [message.id, message]));
  return [...once.values()]
    .flatMap(({ what, episodes }) => {
      const turns = { digest: ['in a digest'], both: ['begin', 'end'] }[what as string] ?? [what];
      return episodes.flatMap((episode) => turns.map((turn) => `${(episode as { id: string }).id} ${turn}`));
    })
    .toSorted();
}

describe('a power cut', () => {
  test('at any write of the day changes nothing of what anybody is told', async () => {
    const undisturbed = new Mains(Number.POSITIVE_INFINITY, true);
    const wanted = await live(undisturbed);
    expect(wanted.told('relay')).toContain('relay begin b');
    expect(wanted.told('mail')).toContain('mail both c');
    expect(wanted.told('mail').some((line) => line.includes('digest'))).toBe(true);
    expect(undisturbed.writes).toBeGreaterThan(100);
    let repeats = 0;
    for (let write = 1; write <= undisturbed.writes; write += 1) {
      const world = await live(new Mains(write, write % 2 === 0));
      for (const channelId of ['mail', 'relay', 'mqtt']) {
        expect({ write, channelId, heard: heard(world, channelId) }).toEqual({
          write,
          channelId,
          heard: heard(wanted, channelId),
        });
      }
      const taken = Map.groupBy(
        world.sent.filter(({ isTaken }) => isTaken),
        ({ channelId, message }) => `${channelId} ${message.id}`,
      );
      const counts = [...taken.values()].map(({ length }) => length);
      expect({ write, most: Math.max(...counts) <= 2 }).toEqual({ write, most: true });
      repeats += counts.filter((count) => count > 1).length;
      expect(world.outbox.book().matters.ids()).toEqual([]);
    }
    // Some cuts fall between sending and noting: those repeat one message.
    expect(repeats).toBeGreaterThan(0);
  });

  test('in the middle of the same message twice ends its repetition', async () => {
    const hang = () => new Promise<Delivery>(() => {});
    let world = new DeliveryWorld().set([aChannel('mail')], [aPerson()]);
    for (let life = 0; life < 4; life += 1) {
      world.answers.set('mail', hang);
      if (life === 0) world.episode('a');
      await world.go(5 * SECOND);
      world = new DeliveryWorld(world);
    }
    expect(world.told('mail')).toEqual(['mail begin a', 'mail begin a']);
    expect(world.outbox.book().record('anna/mail').lastAnswer).toMatch(/not known whether it arrived/);
    world.answers.set('mail', () => TAKEN);
    world.end('a');
    await world.go(5 * SECOND);
    expect(world.told('mail').at(-1)).toBe('mail end a');
  });
});

describe('a restart', () => {
  test('takes on what was journalled and not told, and what ended meanwhile', async () => {
    const world = new DeliveryWorld().set([aChannel('mail')], [aPerson()]);
    const a = world.episode('a');
    world.episode('b');
    await world.go(11 * MINUTE, 10 * SECOND);
    const endedAtMs = world.clock.nowMs();
    world.episodes.set('a', {
      ...a,
      state: { kind: 'ended', beganAtMs: a.state.beganAtMs, lastSampleMs: endedAtMs, endedAtMs },
    });
    world.episodes.delete('b');
    world.episodes.set('c', { ...a, id: 'c' });
    const again = new DeliveryWorld(world);
    await again.go(5 * SECOND);
    expect(again.told('mail').toSorted()).toEqual(
      ['mail begin a', 'mail begin b', 'mail begin c', 'mail end a', 'mail end b'].toSorted(),
    );
  });

  test('waits for what is on its way, but not for ever', async () => {
    const world = new DeliveryWorld().set([aChannel('mail')], [aPerson()]);
    let arrive: (delivery: Delivery) => void = () => {};
    world.answers.set('mail', () => new Promise((resolve) => (arrive = resolve)));
    world.episode('a');
    await world.go(2 * SECOND);
    const stopped = world.outbox.stop();
    arrive(TAKEN);
    await stopped;
    expect(world.outbox.book().record('anna/mail').delivered).toBe(1);

    const other = new DeliveryWorld().set([aChannel('mail')], [aPerson()]);
    other.answers.set('mail', () => new Promise((resolve) => (arrive = resolve)));
    other.episode('a');
    await other.go(2 * SECOND);
    const late = other.outbox.stop();
    other.clock.advance(3 * SECOND);
    await late;
    other.database.close();
    arrive(TAKEN);
    await new Promise((resolve) => setImmediate(resolve));
    expect(other.log.lines).toEqual([]);
  });
});

test('a disk that fails for a while stops nothing but delivery, which goes on after it', async () => {
  const base = new DeliveryWorld().set([aChannel('mail')], [aPerson()]);
  const mains = new Mains(1, false);
  const world = new DeliveryWorld(base, mains.feed);
  world.episode('a');
  await world.go(10 * SECOND);
  expect(world.told()).toEqual([]);
  expect(world.log.lines.some((line) => line.includes('no power'))).toBe(true);
  mains.isOn = true;
  await world.go(2 * MINUTE);
  expect(world.told('mail')).toEqual(['mail begin a']);
});

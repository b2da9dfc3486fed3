/** Aim: whatever channels and clocks do, each person and program is told once, in time, and to the end. */
import { describe, expect, test } from 'vitest';
import { personDelivery } from '../../src/app/channel-report.ts';
import type { Delivery } from '../../src/ports/channel.ts';
import { DAY, HOUR, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { aChannel, aPerson, DeliveryWorld, TAKEN } from '../support/delivery-world.ts';

const down: Delivery = { kind: 'failed', answer: '503 no', isCertain: true, retryAfterMs: null };
const lost: Delivery = { kind: 'failed', answer: 'no answer', isCertain: false, retryAfterMs: null };
const world = (person = aPerson()) => new DeliveryWorld().set([aChannel('mail')], [person]);
const toPeople = (one: DeliveryWorld) => one.told().filter((line) => !line.startsWith('mqtt '));

describe('a person', () => {
  test('is told of a begin and of its end, each once', async () => {
    const one = world();
    one.episode('a');
    await one.go(5 * SECOND);
    one.end('a');
    await one.go(MINUTE);
    expect(one.told('mail')).toEqual(['mail begin a', 'mail end a']);
    expect(one.sent.find(({ channelId }) => channelId === 'mail')).toMatchObject({
      recipient: { address: 'anna@club.example' },
      message: { text: 'a is silent. Since 12:00. Look at it.', kegId: 'one', level: 'attention' },
    });
    expect(one.outbox.book().matters.values()).toEqual([]);
  });

  test('is told nothing of what is building, ended unheard of, or acknowledged after its end', async () => {
    const one = world();
    one.episode('a', { state: { kind: 'building', beganAtMs: NOON, lastSampleMs: NOON } });
    one.end('b');
    one.episode('c');
    await one.go(2 * SECOND);
    one.end('c');
    await one.go(2 * SECOND);
    one.episode('c', { acknowledgedAtMs: NOON });
    await one.go(2 * MINUTE);
    expect(toPeople(one)).toEqual(['mail begin c', 'mail end c']);
  });

  test('who hears only what presses is told of a matter that came to press', async () => {
    const one = world(aPerson({ leastLevel: 'urgent' }));
    one.episode('a');
    await one.go(5 * SECOND);
    expect(toPeople(one)).toEqual([]);
    one.episode('a', { level: 'urgent' });
    await one.go(5 * SECOND);
    one.end('a');
    await one.go(5 * SECOND);
    expect(toPeople(one)).toEqual(['mail begin a', 'mail end a']);
  });

  test('hears at night only what presses, and the rest in the morning, together', async () => {
    // Noon is the middle of these quiet hours, which end at 13:00.
    const one = world(aPerson({ quietHours: { fromMinute: 11 * 60, toMinute: 13 * 60 } }));
    for (const id of ['a', 'b', 'c', 'd', 'e']) one.episode(id);
    one.episode('x', { level: 'urgent' });
    await one.go(10 * MINUTE, 10 * SECOND);
    one.end('b');
    await one.go(49 * MINUTE, 10 * SECOND);
    expect(toPeople(one)).toEqual(['mail begin x']);
    await one.go(2 * MINUTE, 10 * SECOND);
    expect(toPeople(one)).toEqual(['mail begin x', 'mail digest a+c+d+e+b']);
    one.end('a');
    await one.go(MINUTE);
    expect(toPeople(one).at(-1)).toBe('mail end a');
  });

  test('gets four messages in ten minutes, and the rest as one', async () => {
    const one = world();
    for (const id of ['a', 'b', 'c', 'd', 'e', 'f']) {
      one.episode(id);
      await one.go(20 * SECOND);
    }
    expect(toPeople(one)).toEqual(['mail begin a', 'mail begin b', 'mail begin c', 'mail begin d']);
    await one.go(10 * MINUTE);
    expect(toPeople(one).slice(4)).toEqual(['mail digest e+f']);
  });

  test('with two channels is told the same on both, and the limit counts it once', async () => {
    const ways = ['mail', 'relay'].map((channelId) => ({ channelId, address: null, step: 'first' as const }));
    const one = new DeliveryWorld().set([aChannel('mail'), aChannel('relay')], [aPerson({ ways })]);
    for (const id of ['a', 'b', 'c', 'd']) {
      one.episode(id);
      await one.go(5 * SECOND);
    }
    expect(one.told('relay')).toHaveLength(4);
    expect(one.told('mail')).toHaveLength(4);
  });
});

describe('what reached a person', () => {
  test('is counted the messages of each day, by the site’s days', async () => {
    const one = world();
    one.episode('a');
    await one.go(5 * SECOND);
    one.clock.advance(DAY);
    one.end('a');
    await one.go(MINUTE);
    expect(personDelivery(one.outbox, aPerson())).toEqual({
      personId: 'anna',
      name: 'Anna',
      days: [
        { date: new Date(NOON).toISOString().slice(0, 10), messages: 1 },
        { date: new Date(NOON + DAY).toISOString().slice(0, 10), messages: 1 },
      ],
      waiting: 0,
      givenUp: 0,
    });
  });
});

describe('a channel that fails', () => {
  test('is tried again with growing pauses, with the same message under the same id', async () => {
    const one = world();
    one.answers.set('mail', () => down);
    one.episode('a');
    await one.go(4 * MINUTE);
    const tries = one.sent.filter(({ channelId }) => channelId === 'mail');
    expect(tries.map(({ atMs }) => (atMs - NOON) / SECOND)).toEqual([1, 16, 46, 106, 226]);
    expect(new Set(tries.map(({ message }) => message.id)).size).toBe(1);
    one.answers.delete('mail');
    await one.go(5 * MINUTE);
    expect(one.told('mail')).toHaveLength(6);
    expect(one.outbox.book().record('anna/mail')).toMatchObject({ attempts: 0, delivered: 1, failures: 5 });
  });

  test('waits as long as the remote asks', async () => {
    const one = world();
    one.answers.set('mail', () => ({ ...down, retryAfterMs: 5 * MINUTE }));
    one.episode('a');
    await one.go(6 * MINUTE);
    expect(one.sent.filter(({ channelId }) => channelId === 'mail').map(({ atMs }) => atMs - NOON)).toEqual([
      SECOND,
      5 * MINUTE + SECOND,
    ]);
  });

  test('gets one combined message of what ended meanwhile', async () => {
    const one = world();
    one.answers.set('mail', () => down);
    one.episode('a');
    await one.go(5 * SECOND);
    one.end('a');
    one.answers.delete('mail');
    await one.go(MINUTE);
    expect(one.told('mail')).toEqual(['mail begin a', 'mail both a']);
    const ids = one.sent.filter(({ channelId }) => channelId === 'mail').map(({ message }) => message.id);
    expect(new Set(ids).size).toBe(2);
  });

  test('whose answer was lost gets the same message again, and the end after it', async () => {
    const one = world();
    one.answers.set('mail', () => lost);
    one.episode('a');
    await one.go(5 * SECOND);
    one.end('a');
    one.answers.delete('mail');
    await one.go(MINUTE);
    expect(one.told('mail')).toEqual(['mail begin a', 'mail begin a', 'mail end a']);
    const [first, second] = one.sent.filter(({ channelId }) => channelId === 'mail');
    expect(second?.message).toEqual(first?.message);
  });

  test('that refuses a message is not asked again for it, nor told its end', async () => {
    const one = world();
    one.answers.set('mail', () => ({ kind: 'refused', answer: '550 no such user' }));
    one.episode('a');
    await one.go(MINUTE);
    one.end('a');
    await one.go(5 * MINUTE);
    expect(one.told('mail')).toEqual(['mail begin a']);
    expect(one.outbox.book().record('anna/mail')).toMatchObject({ givenUp: 1, lastAnswer: '550 no such user' });
  });

  test('for three days loses what is as old, visibly, and nothing newer', async () => {
    const one = world();
    one.answers.set('mail', () => down);
    one.episode('a');
    await one.go(2 * DAY, 10 * MINUTE);
    one.episode('b');
    await one.go(DAY + 3 * HOUR, 10 * MINUTE);
    expect(one.log.lines.filter((line) => line.includes('given up'))).toHaveLength(1);
    one.answers.delete('mail');
    await one.go(3 * HOUR, 10 * MINUTE);
    one.end('a');
    one.end('b');
    await one.go(3 * HOUR, 10 * MINUTE);
    expect(one.told('mail').slice(-2)).toEqual(['mail begin b', 'mail end b']);
    expect(one.outbox.book().record('anna/mail')).toMatchObject({ givenUp: 1, lostSinceSuccess: 0 });
  });
});

describe('of several channels one that fails', () => {
  test('does not hold back another', async () => {
    const ways = ['mail', 'relay'].map((channelId) => ({ channelId, address: null, step: 'first' as const }));
    const one = new DeliveryWorld().set([aChannel('mail'), aChannel('relay')], [aPerson({ ways })]);
    one.answers.set('mail', () => new Promise(() => {}));
    for (const id of ['a', 'b']) {
      one.episode(id);
      await one.go(5 * SECOND);
      one.end(id);
      await one.go(5 * SECOND);
    }
    expect(one.told('relay')).toEqual(['relay begin a', 'relay end a', 'relay begin b', 'relay end b']);
    expect(one.told('mail')).toEqual(['mail begin a']);
  });

  test('is reported by the others after a quarter of an hour, once, and when it works again', async () => {
    const ways = ['mail', 'relay'].map((channelId) => ({ channelId, address: null, step: 'first' as const }));
    const one = new DeliveryWorld().set([aChannel('mail'), aChannel('relay')], [aPerson({ ways })]);
    one.answers.set('mail', () => ({ ...down, answer: '535 hop-garden was refused' }));
    one.episode('a');
    await one.go(14 * MINUTE, 5 * SECOND);
    expect(one.told('relay')).toEqual(['relay begin a']);
    await one.go(2 * HOUR, 30 * SECOND);
    expect(one.told('relay')).toHaveLength(2);
    expect(one.sent.filter(({ channelId }) => channelId === 'relay').at(-1)?.message.text).toMatch(
      /^“The mail” does not deliver alerts: 535 hop-garden was refused Since 12:15\. Look at its settings/,
    );
    one.answers.delete('mail');
    await one.go(2 * HOUR, 30 * SECOND);
    expect(one.sent.filter(({ channelId }) => channelId === 'relay').at(-1)?.message.text).toMatch(
      /^Over: “The mail” delivers alerts again\./,
    );
    expect(one.told('mail').every((line) => line === 'mail begin a')).toBe(true);
    expect(one.outbox.book().matters.ids()).toEqual(['a']);
  });

  test('is troubled no more when it is removed', async () => {
    const one = world();
    one.answers.set('mail', () => ({ kind: 'refused', answer: 'no' }));
    one.episode('a');
    await one.go(5 * SECOND);
    expect(
      one.outbox
        .book()
        .matters.ids()
        .some((id) => id.startsWith('channel-failing.mail.')),
    ).toBe(true);
    one.outbox.book().channels.remove('mail');
    one.outbox.settingsChanged(['mail']);
    await one.go(5 * SECOND);
    expect(one.outbox.book().matters.ids()).toEqual(['a']);
  });

  test('that makes a mistake inside is tried again like any other', async () => {
    const one = world();
    one.answers.set('mail', () => {
      throw new Error('hop-garden');
    });
    one.episode('a');
    await one.go(5 * SECOND);
    one.answers.delete('mail');
    await one.go(MINUTE);
    expect(one.told('mail')).toEqual(['mail begin a', 'mail begin a']);
    expect(one.log.lines.join()).toContain('mistake in the channel mail');
    expect(one.log.lines.join()).not.toContain('hop-garden');
  });

  test('never shows its secrets, though the remote repeats them', async () => {
    const secret = aChannel('mail', { headers: [{ name: 'authorization', value: 'Bearer hop-garden' }] } as never);
    const one = new DeliveryWorld().set([secret], [aPerson()]);
    one.answers.set('mail', () => ({ kind: 'refused', answer: 'bad Bearer hop-garden\r\nx' }));
    one.episode('a');
    await one.go(MINUTE);
    expect(one.outbox.book().record('anna/mail').lastAnswer).toBe('bad ••• x');
    expect(one.log.lines.join()).not.toContain('hop-garden');
  });
});

describe('escalation', () => {
  const ways = [
    { channelId: 'mail', address: null, step: 'first' },
    { channelId: 'relay', address: null, step: 'second' },
  ] as const;
  const escalating = (change = {}) =>
    new DeliveryWorld().set(
      [aChannel('mail'), aChannel('relay')],
      [aPerson({ ways, escalateAfterMs: 10 * MINUTE, ...change })],
    );

  test('tries the second way when nobody acknowledged in time, and tells it the end', async () => {
    const one = escalating();
    one.episode('a');
    await one.go(10 * MINUTE);
    expect(one.told('relay')).toEqual([]);
    await one.go(5 * SECOND);
    expect(one.told('relay')).toEqual(['relay begin a']);
    one.end('a');
    await one.go(5 * SECOND);
    expect(one.told('relay')).toEqual(['relay begin a', 'relay end a']);
  });

  test('ends with an acknowledgement or the end, and good news never escalates', async () => {
    const one = escalating();
    one.episode('a');
    one.episode('b');
    one.episode('c', { level: 'news' });
    await one.go(5 * MINUTE);
    one.episode('a', { acknowledgedAtMs: one.clock.nowMs() });
    one.end('b');
    await one.go(HOUR, 10 * SECOND);
    expect(one.told('relay')).toEqual([]);
    expect(one.told('mail')).toContain('mail end b');
    expect(
      one.outbox
        .book()
        .threads('anna/relay')
        .map(({ matterId }) => matterId),
    ).toEqual(['a']);
  });

  test('comes in time though the first way fails, and at once where the first way gave up', async () => {
    const one = escalating();
    one.answers.set('mail', () => down);
    one.episode('a');
    await one.go(10 * MINUTE + 5 * SECOND);
    expect(one.told('relay')).toEqual(['relay begin a']);
    one.answers.set('mail', () => ({ kind: 'refused', answer: 'never' }));
    await one.go(20 * MINUTE);
    one.episode('b');
    await one.go(10 * MINUTE + 5 * SECOND);
    expect(one.told('relay')).toContain('relay begin b');
  });

  test('waits for the end of quiet hours and counts from the first try after them', async () => {
    const one = escalating({ quietHours: { fromMinute: 11 * 60, toMinute: 13 * 60 } });
    one.episode('a');
    await one.go(HOUR + 5 * MINUTE, 10 * SECOND);
    expect(toPeople(one)).toEqual(['mail begin a']);
    await one.go(10 * MINUTE, 10 * SECOND);
    expect(one.told('relay')).toEqual(['relay begin a']);
  });
});

describe('a program', () => {
  test('hears each state of an episode once, at once, and through the broker without being set up', async () => {
    const one = new DeliveryWorld().set([aChannel('house', { isProgram: true })], []);
    one.episode('a');
    await one.go(SECOND / 10, SECOND / 10);
    one.episode('a');
    one.episode('a', { unverified: true });
    await one.go(2 * SECOND);
    one.end('a');
    await one.go(MINUTE);
    for (const channelId of ['house', 'mqtt']) {
      const turns = ['begin', 'change', 'end'].map((turn) => `${channelId} ${turn} a`);
      expect(one.told(channelId)).toEqual(turns);
    }
    expect(one.sent[0]?.message.episodes).toMatchObject([
      { id: 'a', state: 'active', beganAt: '2026-06-01T12:00:00.000Z' },
    ]);
  });
});

describe('what is gone', () => {
  test('is sent nothing until it is set anew', async () => {
    const one = world();
    one.answers.set('mail', () => ({ kind: 'gone', answer: '410 Gone' }));
    one.episode('a');
    await one.go(5 * SECOND);
    one.episode('b');
    await one.go(HOUR, 10 * SECOND);
    expect(one.told('mail')).toEqual(['mail begin a']);
    one.answers.delete('mail');
    one.outbox.settingsChanged(['mail']);
    one.episode('c');
    await one.go(5 * SECOND);
    expect(one.told('mail').at(-1)).toMatch(/c/);
  });

  test('and is a browser, is forgotten alone', async () => {
    const push = aChannel('push', { kind: 'web-push', contact: 'mailto:a@b.example' } as never);
    const one = new DeliveryWorld();
    for (const subscriptionId of ['s1', 's2']) {
      const subscription = {
        subscriptionId,
        personId: 'anna',
        channelId: 'push',
        endpoint: subscriptionId,
        p256dh: '',
        auth: '',
      };
      one.outbox.book().subscriptions.put(subscriptionId, subscription);
    }
    one.set([push], [aPerson({ ways: [{ channelId: 'push', address: null, step: 'first' }] })]);
    let count = 0;
    one.answers.set('push', () => {
      count += 1;
      return count === 1 ? { kind: 'gone', answer: '410' } : TAKEN;
    });
    one.episode('a');
    await one.go(5 * SECOND);
    one.end('a');
    await one.go(5 * SECOND);
    expect(one.told('push')).toEqual(['push begin a', 'push begin a', 'push end a']);
    expect(
      one.sent.filter(({ channelId }) => channelId === 'push').map(({ recipient }) => recipient.subscription?.endpoint),
    ).toEqual(['s1', 's2', 's2']);
    expect(one.outbox.book().subscriptions.ids()).toEqual(['s2']);
  });

  test('and is a person or channel, leaves nothing behind', async () => {
    const one = world();
    let arrive: (delivery: Delivery) => void = () => {};
    one.answers.set('mail', () => new Promise((resolve) => (arrive = resolve)));
    one.episode('a');
    await one.go(5 * SECOND);
    one.outbox.book().people.remove('anna');
    one.outbox.settingsChanged([]);
    arrive(TAKEN);
    await one.go(5 * SECOND);
    expect(one.outbox.book().threads('anna/mail')).toEqual([]);
    expect(one.outbox.book().record('anna/mail').delivered).toBe(0);
    one.end('a');
    await one.go(5 * SECOND);
    expect(one.outbox.book().matters.ids()).toEqual([]);
  });
});

describe('the clock', () => {
  test('set back by a day makes no pause last that long', async () => {
    const one = world();
    one.answers.set('mail', () => down);
    one.episode('a');
    await one.go(5 * SECOND);
    one.answers.delete('mail');
    one.clock.stepWall(-2 * DAY);
    await one.go(5 * SECOND);
    expect(one.told('mail')).toEqual(['mail begin a', 'mail begin a']);
  });
});

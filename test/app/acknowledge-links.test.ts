/** Aim: a message to a person says where its alerts are acknowledged, as long as they can be; nobody else is told. */
import { beforeEach, expect, test } from 'vitest';
import { relayChannel } from '../../src/adapters/relay/relay-channel.ts';
import { webhookChannel } from '../../src/adapters/webhook/webhook-channel.ts';
import { AcknowledgeLinks, withoutLinks } from '../../src/app/acknowledge-links.ts';
import { TEXT_LENGTH_MAX } from '../../src/domain/delivery/words.ts';
import type { OutgoingRequest } from '../../src/ports/outgoing.ts';
import { MINUTE } from '../support/builders.ts';
import { aChannel, aPerson, DeliveryWorld, TAKEN } from '../support/delivery-world.ts';
import { aMessage, NOBODY } from '../support/outgoing-message.ts';

let world: DeliveryWorld;
beforeEach(() => {
  world = new DeliveryWorld().set([aChannel('mail'), aChannel('program', { isProgram: true })], [aPerson()]);
  world.acknowledgeLink = (episodeId, personId) => `http://keg.test/acknowledge/${personId}-${episodeId}.x`;
});
const sentBy = (channelId: string) =>
  world.sent.flatMap((one) => (one.channelId === channelId ? one.message : [])).at(-1);

test('the begin has a link for this person, beside a short text that keeps its length; the end has none', async () => {
  world.episode('a');
  await world.go(2 * MINUTE);
  const link = 'http://keg.test/acknowledge/anna-a.x';
  expect(sentBy('mail')).toMatchObject({ what: 'begin', acknowledgeLink: link });
  expect(sentBy('mail')?.details).toContain(`To say that you look after it: ${link}`);
  expect(sentBy('mail')?.text).not.toContain(link);
  expect(sentBy('mail')?.text.length).toBeLessThanOrEqual(TEXT_LENGTH_MAX);
  world.end('a');
  await world.go(2 * MINUTE);
  expect(sentBy('mail')?.what).toBe('end');
  expect(JSON.stringify(sentBy('mail'))).not.toContain('/acknowledge/');
});

test('a program has a key of its own, and gets no link', async () => {
  world.episode('a');
  await world.go(2 * MINUTE);
  expect(sentBy('program')?.what).toBe('begin');
  expect(JSON.stringify(sentBy('program'))).not.toContain('/acknowledge/');
});

test('a digest has one for each alert that is still open, and none for all at once', async () => {
  world.answers.set('mail', () => ({ kind: 'failed', answer: 'away', isCertain: true, retryAfterMs: null }));
  for (const id of ['a', 'b', 'c', 'd', 'e', 'f', 'g']) world.episode(id);
  world.episode('b', { acknowledgedAtMs: world.clock.nowMs() });
  await world.go(5 * MINUTE);
  world.answers.delete('mail');
  await world.go(20 * MINUTE);
  const digest = world.sent.map(({ message }) => message).find(({ what }) => what === 'digest');
  expect(digest?.acknowledgeLink).toBeUndefined();
  const links = digest?.details.match(/anna-\w(?=\.x)/g) ?? [];
  expect(links.length).toBeGreaterThan(2);
  expect(new Set(links).size).toBe(links.length);
  expect(links).not.toContain('anna-b');
});

test('what a remote repeats of a link is not kept', async () => {
  world.answers.set('mail', ({ details }) => ({ ...TAKEN, answer: `got ${details}` }));
  world.episode('a');
  await world.go(2 * MINUTE);
  const answers = world.outbox
    .book()
    .lanes()
    .map(({ laneId }) => world.outbox.book().record(laneId).lastAnswer);
  expect(answers.join()).toContain('/acknowledge/…');
  expect(answers.join()).not.toContain('anna-a');
  expect(withoutLinks('see http://x/acknowledge/Ab-_9.cD and /acknowledge/e.')).toBe(
    'see http://x/acknowledge/… and /acknowledge/…',
  );
});

test('webhooks and relays pass it on in a field of its own', async () => {
  const bodies: string[] = [];
  const outgoing = {
    send: async ({ body }: OutgoingRequest) => {
      bodies.push(String(body));
      return TAKEN;
    },
  };
  const message = aMessage({ acknowledgeLink: 'http://keg.test/acknowledge/a.b' });
  const url = 'http://x.example/';
  const common = { channelId: 'x', name: 'X', isProgram: false, url };
  await webhookChannel({ ...common, kind: 'webhook', secret: 'whsec_AAAA' }, outgoing, world.clock).send(
    message,
    NOBODY,
  );
  const relay = { ...common, kind: 'relay', method: 'POST', headers: [], body: '{"ack":"{{acknowledge}}"}' } as const;
  await relayChannel(relay, outgoing).send(message, NOBODY);
  await relayChannel(relay, outgoing).send(aMessage(), NOBODY);
  expect(JSON.parse(bodies[0] ?? '').data.acknowledgeLink).toBe('http://keg.test/acknowledge/a.b');
  expect(bodies.slice(1)).toEqual(['{"ack":"http://keg.test/acknowledge/a.b"}', '{"ack":""}']);
});

test('without an address of the dashboard there are no links', () => {
  const links = new AcknowledgeLinks({
    keys: { all: () => new Map(), put: () => {}, remove: () => {} },
    people: { has: () => true },
    desk: () => ({ get: () => null, acknowledge: () => null }),
    secrets: { newToken: () => 'x', sign: () => 'x', isSame: () => true },
    clock: world.clock,
    log: world.log.log,
    base: null,
  });
  expect(links.linkFor('a', 'anna')).toBeNull();
});

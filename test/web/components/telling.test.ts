/** Aim: what the forms send is of the contract's form, keeps what is secret as it is, and says at the field what was refused. */
import { describe, expect, test } from 'vitest';
import { ChannelEntry, type ChannelReport, PersonEntry } from '../../../src/contract/channel.ts';
import { QUIET_HEALTH, SAMPLE_HEALTH } from '../../../web/components/alert-health/sample-health.ts';
import { personSentence, totalSentence } from '../../../web/components/alert-health/words.ts';
import { channelFields, readChannel } from '../../../web/components/channel-form/entry.ts';
import {
  HOOK_CHANNEL,
  MAIL_CHANNEL,
  PUSH_CHANNEL,
  RELAY_CHANNEL,
  SAMPLE_CHANNELS,
  SAMPLE_PERSON,
} from '../../../web/components/channel-row/sample-channels.ts';
import { testSentence } from '../../../web/components/channel-row/words.ts';
import { personFields, readPerson, waysFor } from '../../../web/components/person-form/entry.ts';
import { waysSentence } from '../../../web/components/person-form/person-row.tsx';
import { entryOf, idFrom, personEntry, troubleOfChannel } from '../../../web/store/telling.ts';

const OWN: readonly ChannelReport[] = [HOOK_CHANNEL, MAIL_CHANNEL, PUSH_CHANNEL, RELAY_CHANNEL];
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

describe('a channel', () => {
  test.each(OWN)('$name is sent again as it was, without what is secret', (channel) => {
    const entry = entryOf(channel);
    expect(ChannelEntry.safeParse(entry).error).toBeUndefined();
    expect(JSON.stringify(entry)).not.toMatch(/password|secret|"value"/);
    expect(readChannel(channelFields(channel), channel.channelId)).toEqual(entry);
  });

  test('that is built in is not sent', () => {
    expect(SAMPLE_CHANNELS.filter(({ builtIn }) => builtIn).map(entryOf)).toEqual([null, null]);
  });

  test('gets a new password only where one was typed, and loses it with its user', () => {
    const fields = channelFields(MAIL_CHANNEL);
    expect(readChannel({ ...fields, password: 'hop-garden' }, 'mail')).toMatchObject({ password: 'hop-garden' });
    expect(readChannel({ ...fields, user: '' }, 'mail')).toMatchObject({ user: null, password: null });
    expect(readChannel({ ...fields, port: 'many' }, 'mail')).toBe('Give the port as a number, such as 587.');
  });

  test('has an id from its name that nobody else has', () => {
    expect(idFrom('Club Mail', [])).toBe('club-mail');
    expect(idFrom('Über uns!', ['uber-uns'])).toBe('uber-uns-2');
    expect(idFrom('日本', ['live'])).toBe('one');
  });

  test('that is refused says so at its own fields', () => {
    const errors = [
      { pointer: '/channels/2/url', detail: 'give an address' },
      { pointer: '/channels/1/url', detail: 'another' },
    ];
    expect(troubleOfChannel({ detail: 'x', errors }, 2, 'house').errors.map(({ pointer }) => pointer)).toEqual([
      '/url',
      '/channels/1/url',
    ]);
    expect(
      troubleOfChannel({ detail: 'club-mail: from: k is no mail address', errors: [] }, 0, 'club-mail').errors,
    ).toEqual([{ pointer: '/from', detail: 'k is no mail address' }]);
    expect(troubleOfChannel({ detail: 'house: {{x}} is no placeholder', errors: [] }, 0, 'house').errors).toEqual([
      { pointer: '', detail: '{{x}} is no placeholder' },
    ]);
  });

  test('tells what the other side really answered', () => {
    const result = { to: 'house', outcome: 'failed', answer: '503 no', tookMs: 40 } as const;
    expect(plain(testSentence(result))).toBe('Did not arrive: house, after 40 ms. The answer was: 503 no');
  });
});

describe('a person', () => {
  test('is sent as entered, and again as it is', () => {
    const read = readPerson(personFields(SAMPLE_PERSON, SAMPLE_CHANNELS));
    expect(PersonEntry.parse(read)).toEqual({
      ...PersonEntry.parse(personEntry(SAMPLE_PERSON)),
      ways: [SAMPLE_PERSON.ways[1], SAMPLE_PERSON.ways[0]],
    });
  });

  test('can be told by channels for people alone', () => {
    expect(waysFor(SAMPLE_CHANNELS).map(({ channelId }) => channelId)).toEqual(['club-mail', 'browsers', 'phone']);
  });

  test('needs both ends of its quiet hours, and a time before the second way', () => {
    const fields = personFields(SAMPLE_PERSON, SAMPLE_CHANNELS);
    expect(readPerson({ ...fields, quietTo: '' })).toMatch(/^Quiet hours need a beginning and an end/);
    expect(readPerson({ ...fields, escalateAfterMin: '' })).toMatch(/^Say after how many minutes/);
  });

  test('is told in one sentence by which ways', () => {
    expect(plain(waysSentence(SAMPLE_PERSON, SAMPLE_CHANNELS))).toBe(
      'At once by Browsers. If nobody is on it after 30 min, by Club mail. Quiet from 22:00 to 07:00, unless it is urgent.',
    );
  });
});

describe('the health of alerts', () => {
  test('counts messages by person and day', () => {
    expect(SAMPLE_HEALTH.people.map(personSentence)).toEqual([
      'Anna got 6 messages on 2 days, at most 4 on one. 1 waiting.',
      'Bela got no message in the last month. 1 never arrived.',
    ]);
  });

  test('sums up the month', () => {
    expect(totalSentence(SAMPLE_HEALTH.days)).toBe(
      'In the last 30 days 13 alerts began, 1 of them urgent, and 12 ended.',
    );
    expect(totalSentence(QUIET_HEALTH.days)).toBe('Nothing was told in the last 30 days.');
  });
});

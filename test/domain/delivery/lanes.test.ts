/** Aim: who is reached by what, how patient retries are, and that secrets stay secret. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type ChannelSetting, secretsOf, withoutSecrets } from '../../../src/domain/delivery/channel.ts';
import { concerns, lanesOf, type Person, type PushSubscription } from '../../../src/domain/delivery/people.ts';
import { RETRY_AFTER_MS_MAX, retryPauseMs } from '../../../src/domain/delivery/retry.ts';
import { HOUR, SECOND } from '../../support/builders.ts';

const ANNA: Person = {
  personId: 'anna',
  name: 'Anna',
  timeZone: null,
  units: null,
  quietHours: null,
  leastLevel: 'attention',
  escalateAfterMs: HOUR,
  ways: [
    { channelId: 'mail', address: 'anna@club.example', step: 'first' },
    { channelId: 'push', address: null, step: 'second' },
    { channelId: 'gone', address: null, step: 'first' },
  ],
};
const channels = [
  { channelId: 'mail', isProgram: false, perBrowser: false },
  { channelId: 'push', isProgram: false, perBrowser: true },
  { channelId: 'house', isProgram: true, perBrowser: false },
];
const browser = (subscriptionId: string, personId = 'anna', channelId = 'push'): PushSubscription => {
  return { subscriptionId, personId, channelId, endpoint: 'https://push.example/1', p256dh: '', auth: '' };
};

describe('lanes', () => {
  test('are one for each program, and for each way of each person, on each browser', () => {
    const subscriptions = [browser('s1'), browser('s2'), browser('s3', 'ben'), browser('s4', 'anna', 'other')];
    const lanes = lanesOf({ channels, people: [ANNA], subscriptions });
    expect(lanes.map(({ laneId, step }) => `${laneId} ${step}`)).toEqual([
      '/house first',
      'anna/mail first',
      'anna/push/s1 second',
      'anna/push/s2 second',
    ]);
    expect(lanes[1]?.address).toBe('anna@club.example');
  });

  test('are concerned by what presses enough; good news is never pressed upon a second way', () => {
    const lanes = lanesOf({ channels, people: [ANNA], subscriptions: [browser('s1')] });
    const levels = ['news', 'attention', 'urgent'] as const;
    expect(lanes.map((lane) => levels.filter((level) => concerns(lane, level)))).toEqual([
      ['news', 'attention', 'urgent'],
      ['attention', 'urgent'],
      ['attention', 'urgent'],
    ]);
    const eager = { ...ANNA, leastLevel: 'news', escalateAfterMs: null } as const;
    const [, first, second] = lanesOf({ channels, people: [eager], subscriptions: [browser('s1')] });
    expect(first !== undefined && concerns(first, 'news')).toBe(true);
    expect(second !== undefined && concerns(second, 'urgent')).toBe(false);
  });
});

describe('a retry', () => {
  test('waits twice as long each time, up to an hour, with a quarter of chance', () => {
    const middle = [1, 2, 3, 9, 40].map((attempts) => retryPauseMs(attempts, 0.5, null));
    expect(middle).toEqual([15, 30, 60, 3600, 3600].map((seconds) => seconds * SECOND));
    expect([0, 1].map((chance) => retryPauseMs(1, chance, null))).toEqual([11_250, 18_750]);
  });

  test('waits at least as long as the remote asks, but no longer than a day', () => {
    expect(retryPauseMs(1, 0.5, 120_000)).toBe(120_000);
    expect(retryPauseMs(1, 0.5, 1)).toBe(15_000);
    expect(retryPauseMs(1, 0.5, Number.MAX_SAFE_INTEGER)).toBe(RETRY_AFTER_MS_MAX);
  });

  test('never waits less than eleven seconds, nor for ever', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), fc.double({ min: 0, max: 1, noNaN: true }), (attempts, chance) => {
        const pause = retryPauseMs(attempts, chance, null);
        expect(pause).toBeGreaterThanOrEqual(11_250);
        expect(pause).toBeLessThanOrEqual(1.25 * HOUR);
      }),
    );
  });
});

describe('secrets', () => {
  const named = { channelId: 'c', name: 'C', isProgram: false } as const;
  const email = { ...named, kind: 'email', host: 'h', port: 25, security: 'tls', user: 'u', from: 'f' } as const;
  const settings: ChannelSetting[] = [
    { ...email, password: 'hop-garden' },
    { ...email, password: null },
    { ...named, kind: 'webhook', url: 'https://h.example/key/9f3a?token=abcd', secret: 'whsec_c2VjcmV0' },
    {
      ...named,
      kind: 'relay',
      method: 'POST',
      url: 'https://h.example',
      headers: [{ name: 'authorization', value: 'Bearer tok' }],
      body: '',
    },
    { ...named, kind: 'web-push', contact: 'mailto:a@b.example' },
    { ...named, kind: 'mqtt' },
    { ...named, kind: 'webhook', url: 'no address', secret: 'whsec_x' },
  ];

  test('are the password, the key, the headers, and what stands behind the host', () => {
    expect(settings.map(secretsOf)).toEqual([
      ['hop-garden'],
      [],
      ['whsec_c2VjcmV0', '/key/9f3a?token=abcd'],
      ['Bearer tok'],
      [],
      [],
      ['whsec_x'],
    ]);
  });

  test('are blackened wherever a remote repeats them, the longest first', () => {
    const told = withoutSecrets('535 hop-garden-two is no password, hop-garden neither, at', [
      'hop-garden',
      'hop-garden-two',
      'at',
    ]);
    expect(told).toBe('535 ••• is no password, ••• neither, at');
  });
});

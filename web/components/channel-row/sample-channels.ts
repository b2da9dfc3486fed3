import type { ChannelReport, Person } from '../../../src/contract/channel.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** Invented channels and people of a village club, for examples and tests only. */
const ago = (minutes: number): string => new Date(deviceNowMs() - minutes * 60_000).toISOString();

export const HOOK_CHANNEL: ChannelReport = {
  channelId: 'house',
  name: 'The house',
  kind: 'webhook',
  builtIn: false,
  program: true,
  state: 'works',
  lastSuccessAt: ago(12),
  lastFailureAt: null,
  lastAnswer: '204 No Content',
  nextTryAt: null,
  waiting: 0,
  delivered: 31,
  failures: 0,
  givenUp: 0,
  newSecret: null,
  setting: { url: 'http://192.168.1.4:8123/hook' },
};
export const MAIL_CHANNEL: ChannelReport = {
  ...HOOK_CHANNEL,
  channelId: 'club-mail',
  name: 'Club mail',
  kind: 'email',
  program: false,
  state: 'failing',
  lastFailureAt: ago(3),
  lastAnswer: '535 Authentication failed',
  waiting: 2,
  failures: 9,
  givenUp: 1,
  setting: {
    host: 'mail.club.example',
    port: 587,
    security: 'starttls',
    user: 'keg',
    passwordSet: true,
    from: 'keg@club.example',
  },
};
export const PUSH_CHANNEL: ChannelReport = {
  ...HOOK_CHANNEL,
  channelId: 'browsers',
  name: 'Browsers',
  kind: 'web-push',
  program: false,
  state: 'untried',
  lastSuccessAt: null,
  lastAnswer: null,
  delivered: 0,
  setting: { contact: 'mailto:keg@club.example' },
};
export const RELAY_CHANNEL: ChannelReport = {
  ...PUSH_CHANNEL,
  channelId: 'phone',
  name: 'Text to the phone',
  kind: 'relay',
  setting: {
    method: 'POST',
    url: 'https://relay.example/send',
    headers: [{ name: 'Authorization' }, { name: 'Content-Type' }],
    body: '{"to":"{{address}}","text":"{{text}}"}',
  },
};
const BUILT_IN: ChannelReport = { ...HOOK_CHANNEL, builtIn: true, program: false, setting: {}, lastAnswer: null };
export const BUILT_IN_CHANNELS: readonly ChannelReport[] = [
  { ...BUILT_IN, channelId: 'live', name: 'Open pages', kind: 'live', lastSuccessAt: null },
  { ...BUILT_IN, channelId: 'mqtt', name: 'MQTT broker', kind: 'mqtt', program: true },
];
export const SAMPLE_CHANNELS: readonly ChannelReport[] = [
  ...BUILT_IN_CHANNELS,
  HOOK_CHANNEL,
  MAIL_CHANNEL,
  PUSH_CHANNEL,
  RELAY_CHANNEL,
];

export const SAMPLE_PERSON: Person = {
  personId: 'anna',
  name: 'Anna',
  timeZone: null,
  units: null,
  quietHours: { from: '22:00', to: '07:00' },
  leastLevel: 'attention',
  escalateAfterMin: 30,
  ways: [
    { channelId: 'browsers', address: null, step: 'first' },
    { channelId: 'club-mail', address: 'anna@club.example', step: 'second' },
  ],
  browsers: [{ subscriptionId: 's1', channelId: 'browsers', service: 'push.example' }],
  reachable: true,
};

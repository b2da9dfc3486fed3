import type { ChannelEntry, ChannelsChange } from '../contract/index.ts';
import { BROKER_CHANNEL, type ChannelSetting } from '../domain/delivery/channel.ts';
import { isMailAddress } from '../domain/delivery/mail-address.ts';
import { PLACEHOLDERS, unknownPlaceholders } from '../domain/delivery/template.ts';
import type { Outbox } from './outbox.ts';
import { done, type Outcome, refuse } from './outcome.ts';

/** Channels that are there without being set up: pages that are open, and the broker. */
export const BUILT_IN = ['live', BROKER_CHANNEL.channelId];

export interface ChannelsSet {
  /** Signing secrets that were made, by channel: this is the only time they are told. */
  readonly newSecrets: ReadonlyMap<string, string>;
}

/** Sets all channels. Nothing is changed if one of them cannot be. */
export function setChannels(
  outbox: Outbox,
  { channels }: ChannelsChange,
  newSecret: () => string,
): Outcome<ChannelsSet> {
  const book = outbox.book();
  const ids = channels.map(({ channelId }) => channelId);
  const twice = ids.find((id, index) => ids.indexOf(id) !== index);
  if (twice !== undefined)
    return refuse('body-invalid', `channels: ${twice} is there twice; give each its own channelId`);
  const taken = ids.find((id) => BUILT_IN.includes(id));
  if (taken !== undefined) return refuse('body-invalid', `channels: ${taken} is built in; choose another channelId`);
  for (const { name, ways } of book.people.values()) {
    const missing = ways.find(({ channelId }) => !ids.includes(channelId));
    if (missing !== undefined)
      return refuse('still-in-use', `The channel ${missing.channelId} is a way to ${name}. Change that person first.`);
  }
  const newSecrets = new Map<string, string>();
  const settings: ChannelSetting[] = [];
  for (const entry of channels) {
    const outcome = settingOf(entry, book.channels.get(entry.channelId), () => {
      const secret = newSecret();
      newSecrets.set(entry.channelId, secret);
      return secret;
    });
    if (!outcome.ok) return outcome;
    settings.push(outcome.value);
  }
  const changed = new Set(book.channels.ids().filter((id) => !ids.includes(id)));
  book.together(() => {
    for (const id of changed) book.channels.remove(id);
    for (const setting of settings) {
      if (JSON.stringify(book.channels.get(setting.channelId)) === JSON.stringify(setting)) continue;
      changed.add(setting.channelId);
      book.channels.put(setting.channelId, setting);
    }
  });
  outbox.settingsChanged([...changed]);
  return done({ newSecrets });
}

function settingOf(
  entry: ChannelEntry,
  before: ChannelSetting | null,
  newSecret: () => string,
): Outcome<ChannelSetting> {
  const { channelId, name, program: isProgram } = entry;
  const named = { channelId, name, isProgram };
  switch (entry.kind) {
    case 'email': {
      const { kind, host, port, security, user, from } = entry;
      if (!isMailAddress(from)) return refuse('body-invalid', `${channelId}: from: ${from} is no mail address`);
      // Kept only for the server it was given for: else whoever may set a host could have it sent to him.
      const kept = before?.kind === 'email' && before.host === host && before.user === user ? before.password : null;
      const password = entry.password === undefined ? kept : entry.password;
      if ((user === null) !== (password === null))
        return refuse('body-invalid', `${channelId}: give user and password together, or neither`);
      return done({ ...named, kind, host, port, security, user, password, from });
    }
    case 'webhook': {
      const kept = before?.kind === 'webhook' ? before.secret : null;
      return done({ ...named, kind: entry.kind, url: entry.url, secret: entry.secret ?? kept ?? newSecret() });
    }
    case 'relay':
      return relayOf(named, entry, before);
    case 'web-push':
      return done({ ...named, kind: entry.kind, contact: entry.contact });
  }
}

function relayOf(
  named: Pick<ChannelSetting, 'channelId' | 'name' | 'isProgram'>,
  { kind, method, url, body, headers }: Extract<ChannelEntry, { kind: 'relay' }>,
  before: ChannelSetting | null,
): Outcome<ChannelSetting> {
  const [unknown] = unknownPlaceholders(url + body);
  if (unknown !== undefined) {
    const known = PLACEHOLDERS.map((one) => `{{${one}}}`).join(' ');
    return refuse('body-invalid', `${named.channelId}: {{${unknown}}} is no placeholder; there are ${known}`);
  }
  const kept = before?.kind === 'relay' && hostOf(before.url) === hostOf(url) ? before.headers : [];
  const whole: { name: string; value: string }[] = [];
  for (const { name, value } of headers) {
    const known = value ?? kept.find((one) => one.name.toLowerCase() === name.toLowerCase())?.value;
    if (known === undefined)
      return refuse('body-invalid', `${named.channelId}: the header ${name} has no value yet; give one`);
    whole.push({ name, value: known });
  }
  return done({ ...named, kind, method, url, body, headers: whole });
}

function hostOf(url: string): string {
  return new URL(url).host;
}

import type { z } from 'zod';
import type {
  ChannelEntry,
  ChannelReport,
  ChannelTest,
  ChannelTestResult,
  Person,
  PersonEntry,
} from '../../src/contract/channel.ts';
import { type Answer, ask, type Trouble } from './api.ts';
import { resource } from './resource.ts';

/** Channels and people, as they are read and changed. */
export type ChannelInput = z.input<typeof ChannelEntry>;
export type PersonInput = z.input<typeof PersonEntry>;
export type TestInput = z.input<typeof ChannelTest>;

export const channels = resource<{ channels: ChannelReport[] }>('/channels');
export const people = resource<{ people: Person[] }>('/people');
const id = encodeURIComponent;
/** A mail server may take ten seconds for each of its steps. */
const TEST_MS = 90_000;

/** A channel as it would be set again: what is secret is left out, so that it stays. Null for those that are built in. */
export function entryOf({ channelId, name, program, kind, setting }: ChannelReport): ChannelInput | null {
  const named = { channelId, name, program };
  switch (kind) {
    case 'email': {
      const { host = '', port, security, user = null, from = '' } = setting;
      const kept = security === 'tls' || security === 'none' ? security : 'starttls';
      return { ...named, kind, host, port, security: kept, user, from };
    }
    case 'webhook':
      return { ...named, kind, url: setting.url ?? '' };
    case 'relay': {
      const { url = '', body = '', headers = [] } = setting;
      const method = setting.method === 'PUT' || setting.method === 'GET' ? setting.method : 'POST';
      return { ...named, kind, url, body, method, headers: headers.map(({ name: header }) => ({ name: header })) };
    }
    case 'web-push':
      return { channelId, name, kind, contact: setting.contact ?? '' };
    case 'live':
    case 'mqtt':
      return null;
  }
}

/** Adds or changes one channel, or removes it with null. All channels are sent, as they are known at that moment. */
export async function putChannel(
  channelId: string,
  entry: ChannelInput | null,
): Promise<Answer<{ channels: ChannelReport[] }>> {
  const before = await ask<{ channels: ChannelReport[] }>('GET', '/channels');
  if (!before.ok) return before;
  const kept = before.body.channels.flatMap((report) => entryOf(report) ?? []);
  const at = kept.findIndex((one) => one.channelId === channelId);
  const index = at < 0 ? kept.length : at;
  const next = [...kept.slice(0, index), ...(entry === null ? [] : [entry]), ...kept.slice(index + 1)];
  const answer = await ask<{ channels: ChannelReport[] }>('PUT', '/channels', { channels: next });
  if (!answer.ok) return { ok: false, trouble: troubleOfChannel(answer.trouble, index, channelId) };
  channels.value.value = answer.body;
  return answer;
}

/** Errors of one channel among all: pointers begin at its own fields. Pure. */
export function troubleOfChannel(trouble: Trouble, index: number, channelId: string): Trouble {
  const lead = `${channelId}: `;
  if (trouble.detail.startsWith(lead)) return { ...trouble, errors: [fieldOf(trouble.detail.slice(lead.length))] };
  const errors = trouble.errors.map((error) => {
    const own = `/channels/${index}`;
    return error.pointer.startsWith(own) ? { ...error, pointer: error.pointer.slice(own.length) } : error;
  });
  return { ...trouble, errors };
}

function fieldOf(detail: string): Trouble['errors'][number] {
  const [, field, words] = /^([a-z]+): (.+)$/s.exec(detail) ?? [];
  return field === undefined || words === undefined ? { pointer: '', detail } : { pointer: `/${field}`, detail: words };
}

/** Sends a test now: a question, whatever it sends. */
export const testChannel = (channelId: string, entry: TestInput): Promise<Answer<ChannelTestResult>> =>
  ask<ChannelTestResult>('POST', `/channels/${id(channelId)}/test`, entry, { changes: false, patienceMs: TEST_MS });

export async function putPerson(personId: string, entry: PersonInput): Promise<Trouble | null> {
  const answer = await ask<Person>('PUT', `/people/${id(personId)}`, entry);
  await people.load();
  return answer.ok ? null : answer.trouble;
}

export async function removePerson(personId: string): Promise<Trouble | null> {
  const answer = await ask('DELETE', `/people/${id(personId)}`);
  await people.load();
  return answer.ok ? null : answer.trouble;
}

export async function removeBrowser(personId: string, subscriptionId: string): Promise<Trouble | null> {
  const answer = await ask('DELETE', `/people/${id(personId)}/browsers/${id(subscriptionId)}`);
  await people.load();
  return answer.ok ? null : answer.trouble;
}

/** A person as it would be set again. */
export function personEntry({ personId: _, browsers: __, reachable: ___, ...entry }: Person): PersonInput {
  return entry;
}

const LETTERS_MAX = 40;

/** An id from a name: "Club mail" is club-mail, and club-mail-2 if that is taken. Pure. */
export function idFrom(name: string, taken: readonly string[]): string {
  const plain = name
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, LETTERS_MAX);
  const base = plain === '' ? 'one' : plain.replace(/-+$/, '');
  for (let count = 1; ; count += 1) {
    const candidate = count === 1 ? base : `${base}-${count}`;
    if (!taken.includes(candidate)) return candidate;
  }
}

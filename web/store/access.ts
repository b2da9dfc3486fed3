import { signal } from '@preact/signals';
import type { Access, AccessRole, SessionList } from '../../src/contract/access.ts';
import { type Answer, ask, type Trouble } from './api.ts';
import { forgetAll } from './memory.ts';
import { resource } from './resource.ts';

/** How this browser stands at the door; null until the service said so. */
export const access = signal<Access | null>(null);
export const sessionsResource = resource<SessionList>('/sessions');

/** Asks how we stand. What was remembered of a visit is forgotten once nobody is in: the next reader may be another. */
export async function loadAccess(): Promise<void> {
  const answer = await ask<Access>('GET', '/access');
  if (!answer.ok) return;
  access.value = answer.body;
  if (answer.body.you === null) forgetAll();
}

const enter = async (path: string, content: object): Promise<Trouble | null> => {
  const answer = await ask<Access>('POST', path, content);
  if (!answer.ok) return answer.trouble;
  // Everything is asked anew as whom we are now.
  location.replace('/');
  return null;
};

export const logIn = (account: AccessRole, passphrase: string) => enter('/session', { account, passphrase });
export const enterTablet = (token: string) => enter('/session/device', { token });
export const claim = (passphrase: string, token: string) =>
  enter('/access/claim', token === '' ? { passphrase } : { passphrase, token });

export async function logOut(): Promise<Trouble | null> {
  const answer = await ask('DELETE', '/session');
  if (!answer.ok) return answer.trouble;
  forgetAll();
  location.replace('/');
  return null;
}

const change = async (answer: Promise<Answer<unknown>>): Promise<Trouble | null> => {
  const answered = await answer;
  await Promise.all([loadAccess(), sessionsResource.load()]);
  return answered.ok ? null : answered.trouble;
};

export const endSession = (sessionId: string) => change(ask('DELETE', `/sessions/${encodeURIComponent(sessionId)}`));
export const changePassphrase = (role: AccessRole, passphrase: string, yours: string) =>
  change(ask('PUT', `/passphrases/${role}`, { passphrase, yours }));
/** A link for one tablet, whole, as it is to be opened there. */
export async function inviteTablet(name: string): Promise<Answer<string>> {
  const answer = await ask<{ path: string }>('POST', '/devices', { name });
  await sessionsResource.load();
  return answer.ok ? { ok: true, body: `${location.origin}${answer.body.path}` } : answer;
}

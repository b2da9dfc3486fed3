import { signal } from '@preact/signals';
import { ask, type Trouble } from './api.ts';
import { people, personEntry, putPerson, removeBrowser } from './telling.ts';

/** Whether this browser can be told of alerts while no page is open. */
export type PushAbility = 'insecure' | 'unsupported' | 'denied' | 'possible';

interface Kept {
  readonly personId: string;
  readonly subscriptionId: string;
}

const KEY = 'quietkeg-told-here';
/** As whom this browser asked to be told; null: it did not. */
export const toldHere = signal<Kept | null>(recall());

export function pushAbility(): PushAbility {
  if (!isSecureContext) return 'insecure';
  if (!('serviceWorker' in navigator) || !('PushManager' in globalThis) || !('Notification' in globalThis))
    return 'unsupported';
  return Notification.permission === 'denied' ? 'denied' : 'possible';
}

/** Asks the reader and the push service, then tells Quietkeg. Never throws: trouble is the answer. */
export async function tellHere(personId: string, channelId: string): Promise<Trouble | null> {
  try {
    if ((await Notification.requestPermission()) !== 'granted')
      return plain('This browser was not allowed to show messages. Allow them for this page in its settings.');
    const key = await ask<{ publicKey: string }>('GET', '/push-key');
    if (!key.ok) return key.trouble;
    await navigator.serviceWorker.register('/sw.js');
    const { pushManager } = await navigator.serviceWorker.ready;
    const subscription = await pushManager.subscribe({
      userVisibleOnly: true,
      applicationServerKey: key.body.publicKey,
    });
    const entry = { channelId, subscription: subscription.toJSON() };
    const path = `/people/${encodeURIComponent(personId)}/browsers`;
    const answer = await ask<{ subscriptionId: string }>('PUT', path, entry);
    if (!answer.ok) return answer.trouble;
    keep({ personId, subscriptionId: answer.body.subscriptionId });
    return addWay(personId, channelId);
  } catch (error) {
    return plain(`The browser’s push service did not take this browser: ${textOf(error)}`);
  }
}

/** A browser is heard of only by a person who has browsers among his ways. */
async function addWay(personId: string, channelId: string): Promise<Trouble | null> {
  await people.load();
  const person = people.value.peek()?.people.find((one) => one.personId === personId);
  if (person === undefined || person.ways.some((way) => way.channelId === channelId)) return null;
  const ways = [...person.ways, { channelId, address: null, step: 'first' as const }];
  return putPerson(personId, { ...personEntry(person), ways });
}

/** Takes this browser out, here and at Quietkeg. */
export async function tellHereNoMore(): Promise<Trouble | null> {
  const kept = toldHere.peek();
  try {
    const registration = await navigator.serviceWorker.getRegistration();
    await (await registration?.pushManager.getSubscription())?.unsubscribe();
  } catch (error) {
    return plain(`The browser did not give its push messages up: ${textOf(error)}`);
  }
  if (kept === null) return null;
  const trouble = await removeBrowser(kept.personId, kept.subscriptionId);
  keep(null);
  return trouble;
}

const plain = (detail: string): Trouble => ({ detail, errors: [] });
const textOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

function keep(next: Kept | null): void {
  toldHere.value = next;
  try {
    if (next === null) localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, JSON.stringify(next));
  } catch {
    // Storage may be forbidden: then this page forgets that it asked, and the list of browsers still shows it.
  }
}

function recall(): Kept | null {
  try {
    const text = localStorage.getItem(KEY);
    return text === null ? null : JSON.parse(text);
  } catch {
    return null;
  }
}

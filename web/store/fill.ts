import { ask } from './api.ts';
import { later } from './clock.ts';
import { FillDesk } from './fill-desk.ts';

/** The key carries the form's number: a page of another version does not read what it would misread. */
const KEY = 'quietkeg-fill-1';
/** Bits that say "version 4, made by chance". @source RFC 9562, section 5.4 */
const VERSION = { byte: 6, keep: 0x0f, set: 0x40 } as const;
const VARIANT = { byte: 8, keep: 0x3f, set: 0x80 } as const;

/** A UUID. `crypto.randomUUID` is missing where the page came by plain HTTP; this is not. */
export function newUuid(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (const { byte, keep, set } of [VERSION, VARIANT]) bytes[byte] = ((bytes[byte] ?? 0) & keep) | set;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

export const fillDesk = new FillDesk({
  ask,
  read: () => localStorage.getItem(KEY),
  write: (text) => localStorage.setItem(KEY, text),
  later,
  newId: newUuid,
});

/** Follows the other pages of this device, and the network's return. Returns what ends it. */
export function startFillDesk(): () => void {
  const onStorage = (event: StorageEvent): void => {
    if (event.key === KEY) fillDesk.reload();
  };
  const onOnline = (): void => void fillDesk.flush();
  addEventListener('storage', onStorage);
  addEventListener('online', onOnline);
  return () => {
    removeEventListener('storage', onStorage);
    removeEventListener('online', onOnline);
  };
}

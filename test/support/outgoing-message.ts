import type { OutgoingMessage, Recipient } from '../../src/ports/channel.ts';
import { NOON } from './builders.ts';

export const NOBODY: Recipient = { address: null, subscription: null };

export function aMessage(change: Partial<OutgoingMessage> = {}): OutgoingMessage {
  return {
    id: 'message-1',
    atMs: NOON,
    what: 'begin',
    level: 'attention',
    subject: 'Harvest Amber is warm: 6.1\u00a0°C.',
    text: 'Harvest Amber is warm: 6.1\u00a0°C. Since 14:02. Close the door.',
    details: 'Harvest Amber is warm: 6.1\u00a0°C.\nSince 14:02.\nWhat to do: Close the door.',
    link: 'http://keg.example:8420/kegs/one',
    kegId: 'one',
    episodes: [{ id: 'a', rule: 'fridge-warm' }],
    ...change,
  };
}

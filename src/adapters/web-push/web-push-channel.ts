import type { WebPushSetting } from '../../domain/delivery/channel.ts';
import type { Channel, OutgoingMessage } from '../../ports/channel.ts';
import type { Clock } from '../../ports/clock.ts';
import type { Outgoing } from '../../ports/outgoing.ts';
import { drawLots, encryptForBrowser } from './encrypt.ts';
import { type VapidKeys, vapidAuthorization } from './vapid.ts';

/** How long a push service keeps a message for a phone that is off (s). Later it is no news. */
const KEPT_S = 24 * 3600;

export interface WebPushOptions {
  readonly outgoing: Outgoing;
  readonly clock: Clock;
  readonly keys: () => VapidKeys;
}

/** Messages to browsers that asked for them. @source RFC 8030, section 5 (TTL, Urgency); 404 and 410: section 7.3 */
export function webPushChannel({ contact }: WebPushSetting, { outgoing, clock, keys }: WebPushOptions): Channel {
  return {
    async send(message, { subscription }) {
      if (subscription === null) return { kind: 'refused', answer: 'no browser of this person asked for messages' };
      const { endpoint } = subscription;
      let body: Buffer;
      let authorization: string;
      try {
        body = encryptForBrowser(payloadOf(message), subscription, drawLots());
        authorization = vapidAuthorization(endpoint, contact, keys(), clock.nowMs());
      } catch {
        return { kind: 'gone', answer: 'the browser gave keys that cannot be used' };
      }
      const headers = {
        'content-type': 'application/octet-stream',
        'content-encoding': 'aes128gcm',
        ttl: String(KEPT_S),
        urgency: message.level === 'news' ? 'normal' : 'high',
        authorization,
      };
      return outgoing.send({ method: 'POST', url: endpoint, headers, body, goneAt: [404, 410] });
    },
  };
}

/** `tag` lets a browser show a repeated message once. All texts are short, so it fits one record. */
function payloadOf({ id, what, level, subject, text, link, acknowledgeLink }: OutgoingMessage): Buffer {
  const payload = { tag: id, what, level, title: subject, body: text, link, acknowledgeLink };
  return Buffer.from(JSON.stringify(payload));
}

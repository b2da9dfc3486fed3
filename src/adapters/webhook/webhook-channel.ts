import { createHmac, randomBytes } from 'node:crypto';
import type { WebhookSetting } from '../../domain/delivery/channel.ts';
import type { Channel, OutgoingMessage } from '../../ports/channel.ts';
import type { Clock } from '../../ports/clock.ts';
import type { Outgoing } from '../../ports/outgoing.ts';

const PREFIX = 'whsec_';
/** Between the 24 and 64 bytes that Standard Webhooks asks for. */
const SECRET_BYTES = 32;

/** A signed webhook. @source Standard Webhooks 1.0.0: headers, signature scheme v1, payload structure */
export function webhookChannel(setting: WebhookSetting, outgoing: Outgoing, clock: Clock): Channel {
  return {
    send(message) {
      const body = JSON.stringify(payloadOf(message));
      // Of the attempt, not of the message: receivers refuse what is older than some minutes.
      const timestamp = Math.floor(clock.nowMs() / 1000);
      return outgoing.send({
        method: 'POST',
        url: setting.url,
        headers: {
          'content-type': 'application/json',
          'webhook-id': message.id,
          'webhook-timestamp': String(timestamp),
          'webhook-signature': webhookSignature(setting.secret, message.id, timestamp, body),
        },
        body,
        goneAt: [410],
      });
    },
  };
}

export function webhookSignature(secret: string, id: string, timestamp: number, body: string): string {
  const key = Buffer.from(secret.slice(PREFIX.length), 'base64');
  return `v1,${createHmac('sha256', key).update(`${id}.${timestamp}.${body}`).digest('base64')}`;
}

export function newWebhookSecret(): string {
  return PREFIX + randomBytes(SECRET_BYTES).toString('base64');
}

function payloadOf({
  what,
  atMs,
  level,
  subject,
  text,
  details,
  link,
  acknowledgeLink,
  kegId,
  episodes,
}: OutgoingMessage): object {
  return {
    type: what === 'test' ? 'test' : `alert.${what}`,
    timestamp: new Date(atMs).toISOString(),
    data: { level, subject, text, details, link, acknowledgeLink, kegId, episodes },
  };
}

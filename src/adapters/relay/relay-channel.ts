import type { RelaySetting } from '../../domain/delivery/channel.ts';
import { escapingFor, fillTemplate, type TemplateValues } from '../../domain/delivery/template.ts';
import type { Channel, OutgoingMessage, Recipient } from '../../ports/channel.ts';
import type { Outgoing } from '../../ports/outgoing.ts';

/** Any service that takes an HTTP request, in the form that it wants. */
export function relayChannel({ method, url, headers, body }: RelaySetting, outgoing: Outgoing): Channel {
  const named = Object.fromEntries(headers.map(({ name, value }) => [name.toLowerCase(), value]));
  const contentType = named['content-type'] ?? 'application/json';
  return {
    send(message, recipient) {
      const values = valuesOf(message, recipient);
      return outgoing.send({
        method,
        url: fillTemplate(url, values, 'url'),
        headers: method === 'GET' ? named : { ...named, 'content-type': contentType },
        body: method === 'GET' ? null : fillTemplate(body, values, escapingFor(contentType)),
        goneAt: [],
      });
    },
  };
}

function valuesOf(message: OutgoingMessage, { address }: Recipient): TemplateValues {
  return {
    id: message.id,
    what: message.what,
    level: message.level,
    subject: message.subject,
    text: message.text,
    details: message.details,
    link: message.link ?? '',
    acknowledge: message.acknowledgeLink ?? '',
    keg: message.kegId ?? '',
    address: address ?? '',
    time: new Date(message.atMs).toISOString(),
  };
}

import { z } from 'zod';
import { AlertLevel } from './alert.ts';
import { Units } from './catalogue.ts';
import { Id, Instant, ShortText } from './common.ts';

/** One line of at most `max` characters. */
const Line = (max: number) =>
  z
    .string()
    .max(max)
    .regex(/^[^\p{Cc}\p{Zl}\p{Zp}]*$/u, 'must be one line without control characters');
const Secret = Line(500).min(1);
const Host = Line(253).regex(/^[a-zA-Z0-9.:_-]+$/, 'give a host name or an address, without http:// and port');
const Url = Line(2000).refine(
  (text) => {
    const url = URL.parse(text);
    if (url === null || !['http:', 'https:'].includes(url.protocol)) return false;
    return url.username === '' && url.password === '' && /^https?:\/\/[^/?#{}\\]+([/?#]|$)/i.test(text);
  },
  { message: 'give an address such as https://host/path, without a user in it, and placeholders only behind the host' },
);
/** @source RFC 9110, section 5.6.2 (token) */
const HeaderName = z.string().regex(/^[!#$%&'*+.^_`|~0-9A-Za-z-]{1,100}$/, 'is no name of a header');
/** These say how the message is carried, which is not for a template to say. */
const CARRIER_HEADERS = ['host', 'content-length', 'connection', 'transfer-encoding', 'upgrade', 'te', 'trailer'];
/** @source Standard Webhooks 1.0.0: 24 to 64 random bytes, base64 */
const WebhookSecret = z
  .string()
  .regex(/^whsec_[A-Za-z0-9+/]{32,88}={0,2}$/, 'give whsec_ and 24 to 64 bytes in base64, or leave it out to get one');

const named = {
  channelId: Id,
  name: ShortText,
  program: z
    .boolean()
    .default(false)
    .describe('Hears every alert by itself, at once, without quiet hours, limit and digest; belongs to nobody'),
};

const EmailFields = {
  ...named,
  kind: z.literal('email'),
  host: Host.describe('Mail server'),
  port: z.number().int().min(1).max(65_535).default(587),
  security: z
    .enum(['starttls', 'tls', 'none'])
    .default('starttls')
    .describe('starttls insists on it; none can be read by everybody on the way'),
  user: Line(320).min(1).nullable().default(null),
  from: Line(254).describe('Mail address of the sender'),
};
const WebhookFields = { ...named, kind: z.literal('webhook'), url: Url };
const RelayFields = {
  ...named,
  kind: z.literal('relay'),
  method: z.enum(['POST', 'PUT', 'GET']).default('POST'),
  url: Url.describe('Placeholders behind the host are percent-encoded'),
  body: z.string().max(8000).default('').describe('With placeholders such as {{text}}; escaped for its content-type'),
};
const WebPushFields = {
  ...named,
  kind: z.literal('web-push'),
  program: z.literal(false).default(false),
  contact: Line(200)
    .regex(/^(mailto:[^\s@]+@[^\s@]+|https:\/\/\S+)$/, 'give mailto:… or https://…')
    .describe('How the push service can reach you if we trouble it'),
};

const EmailEntry = z
  .strictObject({
    ...EmailFields,
    password: Secret.nullable().optional().describe('Left out: as it was. Never shown.'),
  })
  .refine(
    ({ security, user, host }) => security !== 'none' || user === null || /^(localhost|127\..*|::1)$/.test(host),
    {
      message: 'a password would be readable on the way; use starttls or tls',
      path: ['security'],
    },
  );
const RelayEntry = z.strictObject({
  ...RelayFields,
  headers: z
    .array(
      z.strictObject({
        name: HeaderName.refine((name) => !CARRIER_HEADERS.includes(name.toLowerCase()), {
          message: 'is set by the service itself',
        }),
        value: z
          .string()
          .max(2000)
          .regex(/^[\t\x20-\x7e]*$/, 'must be one line of plain characters')
          .optional()
          .describe('Left out: as it was. Never shown.'),
      }),
    )
    .max(20)
    .default([]),
});

/** A channel as it is set up. What is secret may be left out and stays as it was. */
export const ChannelEntry = z.discriminatedUnion('kind', [
  EmailEntry,
  z.strictObject({ ...WebhookFields, secret: WebhookSecret.optional().describe('Left out: as it was, or a new one') }),
  RelayEntry,
  z.strictObject(WebPushFields),
]);
export type ChannelEntry = z.infer<typeof ChannelEntry>;

/** PUT /channels: all of them. */
export const ChannelsChange = z.strictObject({ channels: z.array(ChannelEntry).max(30) });
export type ChannelsChange = z.infer<typeof ChannelsChange>;

export const ChannelReport = z.object({
  channelId: Id,
  name: z.string(),
  kind: z.enum(['live', 'mqtt', 'email', 'webhook', 'relay', 'web-push']),
  builtIn: z.boolean().describe('Is there without being set up'),
  program: z.boolean(),
  state: z.enum(['untried', 'works', 'retrying', 'failing']),
  lastSuccessAt: Instant.nullable(),
  lastFailureAt: Instant.nullable(),
  lastAnswer: z.string().nullable().describe('What the remote said last'),
  nextTryAt: Instant.nullable(),
  waiting: z.number().int().describe('Parts of messages that wait, held ones included'),
  delivered: z.number().int(),
  failures: z.number().int().describe('Failed attempts'),
  givenUp: z.number().int().describe('Messages that never arrived'),
  newSecret: z.string().nullable().describe('A signing secret that was just made; shown once'),
  setting: z
    .object({
      host: z.string(),
      port: z.number().int(),
      security: z.string(),
      user: z.string().nullable(),
      passwordSet: z.boolean(),
      from: z.string(),
      url: z.string(),
      method: z.string(),
      headers: z.array(z.object({ name: z.string() })).describe('Their values are not shown'),
      body: z.string(),
      contact: z.string(),
    })
    .partial()
    .describe('What was set, by kind; never what is secret'),
});
export type ChannelReport = z.infer<typeof ChannelReport>;
export const ChannelList = z.object({ channels: z.array(ChannelReport) });
export type ChannelList = z.infer<typeof ChannelList>;

/** POST /channels/{id}/test */
export const ChannelTest = z.strictObject({
  personId: Id.nullable().default(null).describe('Whose addresses and browsers are tried'),
  address: Line(254).min(1).nullable().default(null).describe('Or one address'),
});
export type ChannelTest = z.infer<typeof ChannelTest>;
export const ChannelTestResult = z.object({
  results: z.array(
    z.object({
      to: z.string(),
      outcome: z.enum(['taken', 'refused', 'gone', 'failed']),
      answer: z.string().describe('What the remote really answered'),
      tookMs: z.number().int(),
    }),
  ),
});
export type ChannelTestResult = z.infer<typeof ChannelTestResult>;

const TimeOfDay = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'give a time such as 22:00');

const Way = z.strictObject({
  channelId: Id,
  address: Line(254).min(1).nullable().default(null).describe('A mail address; for a relay what its template wants'),
  step: z.enum(['first', 'second']).default('first').describe('second: only if nobody acknowledged in time'),
});

/** PUT /people/{personId} */
export const PersonEntry = z.strictObject({
  name: ShortText,
  timeZone: z.string().max(64).nullable().default(null).describe('IANA name; null: the site’s'),
  units: Units.omit({ volume: true }).strict().nullable().default(null).describe('Null: the site’s'),
  quietHours: z
    .strictObject({ from: TimeOfDay, to: TimeOfDay })
    .refine(({ from, to }) => from !== to, { message: 'must end at another time than they begin' })
    .nullable()
    .default(null)
    .describe('In which only urgent alerts are delivered; by the wall clock of the time zone'),
  leastLevel: AlertLevel.default('news').describe('What presses less is not told'),
  escalateAfterMin: z.number().int().min(1).max(1440).nullable().default(null),
  ways: z.array(Way).max(10).default([]),
});
export type PersonEntry = z.infer<typeof PersonEntry>;

export const Person = z.object({
  ...PersonEntry.shape,
  personId: Id,
  browsers: z.array(z.object({ subscriptionId: z.string(), channelId: Id, service: z.string() })),
  reachable: z.boolean().describe('Some first way could deliver now'),
});
export type Person = z.infer<typeof Person>;
export const PersonList = z.object({ people: z.array(Person) });

/** Key by which a browser subscribes (applicationServerKey). */
export const PushKey = z.object({ publicKey: z.string() });

/** PUT /people/{personId}/browsers, with what PushSubscription.toJSON() gives. */
export const BrowserEntry = z.object({
  channelId: Id,
  subscription: z.object({
    endpoint: Url.refine((text) => text.startsWith('https://'), { message: 'must be https' }),
    keys: z.object({
      p256dh: z.string().regex(/^B[A-Za-z0-9_-]{86}$/, 'is no public key of a browser'),
      auth: z.string().regex(/^[A-Za-z0-9_-]{22}$/, 'is no secret of a browser'),
    }),
  }),
});
export type BrowserEntry = z.infer<typeof BrowserEntry>;

import { z } from 'zod';

const Port = z.number().int().min(0).max(65_535);
const Host = z.string().min(1);
const File = z.string().min(1).nullable().default(null);
const Url = (...schemes: string[]) =>
  z.string().refine(
    (text) => {
      const url = URL.parse(text);
      return url !== null && url.hostname !== '' && schemes.includes(url.protocol.slice(0, -1));
    },
    { message: `expected an address such as ${schemes.map((scheme) => `${scheme}://host`).join(' or ')}` },
  );

/**
 * All settings. A setting `http.port` is `port` under `[http]` in the file, QUIETKEG_HTTP_PORT in the environment and
 * --http-port on the command line.
 */
export const Settings = z.strictObject({
  data: z.string().min(1).describe('Folder of everything that is kept. One service a folder.'),
  http: z.strictObject({
    host: Host.default('127.0.0.1').describe(
      'Address the dashboard listens on. Beyond this machine: see trustNetwork.',
    ),
    port: Port.default(8420).describe('Port of the dashboard; 0 takes a free one.'),
    publicUrl: Url('http', 'https')
      .nullable()
      .default(null)
      .describe('Address under which people reach the dashboard, for the links in messages: http://keg.local:8420'),
    trustNetwork: z
      .boolean()
      .default(false)
      .describe('Listen beyond this machine without a passphrase: only where something else keeps strangers out.'),
    firstRun: z
      .boolean()
      .default(false)
      .describe(
        'Listen beyond this machine although no passphrase is set, only so that a browser elsewhere can set one with the token that is printed at the start.',
      ),
    tlsCert: File.describe('Certificate (PEM, the whole chain) for HTTPS without a proxy; tlsKey goes with it.'),
    tlsKey: File.describe('Key of that certificate (PEM); read at the start.'),
    names: z
      .string()
      .default('')
      .describe('More names by which people reach the dashboard, with commas between; others are refused.'),
    trustedProxies: z
      .string()
      .default('')
      .describe(
        'Addresses or networks of proxies before the dashboard, with commas between; what they say of where a request comes from is believed.',
      ),
  }),
  mqtt: z.strictObject({
    host: Host.default('127.0.0.1').describe(
      'Address the embedded broker listens on. Beyond this machine: see http.trustNetwork.',
    ),
    port: Port.default(1883).describe('Port of the embedded broker; 0 takes a free one.'),
    url: Url('mqtt', 'mqtts')
      .nullable()
      .default(null)
      .describe('A broker elsewhere, instead of the embedded one: mqtt://host:1883'),
    discover: z
      .string()
      .min(1)
      .max(500)
      .default('probes/#')
      .describe('Topics of a broker elsewhere that are listened to, so that they can be assigned; # hears everything.'),
    user: z.string().min(1).nullable().default(null).describe('Our name at a broker elsewhere, if not in its address.'),
    passwordFile: File.describe('File with our password at a broker elsewhere.'),
    caFile: File.describe(
      'Certificate (PEM) of who vouches for a broker elsewhere (mqtts), if that is not a public one.',
    ),
    tlsHost: Host.default('127.0.0.1').describe('Address on which the embedded broker listens with TLS.'),
    tlsPort: Port.nullable().default(null).describe('Port of the embedded broker with TLS, usually 8883; unset: none.'),
    tlsCert: File.describe('Certificate (PEM) of the embedded broker.'),
    tlsKey: File.describe('Key of that certificate (PEM).'),
    clientId: z
      .string()
      .min(1)
      .max(60)
      .default('quietkeg')
      .describe('Our name at a broker elsewhere; keep it: messages wait under it.'),
  }),
  influx: z.strictObject({
    url: Url('http', 'https')
      .nullable()
      .default(null)
      .describe('InfluxDB 1.x for readings, instead of the embedded store: http://host:8086'),
  }),
  keep: z.strictObject({
    rawDays: z
      .number()
      .int()
      .min(90)
      .max(36_500)
      .default(90)
      .describe('Days for which every reading is kept after its batch has ended; from then on each minute, for years.'),
  }),
  backup: z.strictObject({
    keep: z
      .number()
      .int()
      .min(0)
      .max(366)
      .default(7)
      .describe('Nightly backups that are kept, the newest of them; 0 makes none.'),
    folder: z
      .string()
      .min(1)
      .nullable()
      .default(null)
      .describe('Folder of the nightly backups, best on another disk. Unset: backups in the data folder.'),
    beforeUpdate: z
      .boolean()
      .default(true)
      .describe('Make a backup before a new version changes the layout of what is kept.'),
  }),
  outgoing: z.strictObject({
    allowLocal: z
      .boolean()
      .default(true)
      .describe('Channels may send to this machine and its own network; addresses of clouds’ insides never.'),
  }),
  heartbeat: z.strictObject({
    url: Url('http', 'https')
      .nullable()
      .default(null)
      .describe('Asked every so often while all works, for a watcher elsewhere that tells you when it falls silent.'),
    everyMin: z.number().int().min(1).max(1440).default(5).describe('Minutes between two heartbeats.'),
  }),
  altitudeM: z
    .number()
    .min(-500)
    .max(9000)
    .nullable()
    .default(null)
    .describe('Metres above sea level until it is set in the dashboard. Unset: 0, shown as assumed.'),
});
export type Settings = z.infer<typeof Settings>;

export interface SettingName {
  /** Where it stands in `Settings`, such as ['http', 'port']. */
  readonly path: readonly string[];
  readonly environment: string;
  readonly flag: string;
  readonly kind: 'text' | 'number' | 'switch';
  readonly description: string;
  /** What holds if nothing is said, for reading; null if nothing does. */
  readonly fallback: string | null;
}

/** Every setting by its three names, in the order of the schema. */
export const SETTING_NAMES: readonly SettingName[] = namesIn(Settings, []);

function namesIn(schema: z.ZodObject, path: readonly string[]): SettingName[] {
  return Object.entries(schema.shape).flatMap(([name, inner]) => {
    if (inner instanceof z.ZodObject) return namesIn(inner, [...path, name]);
    const whole = [...path, name];
    const words = whole.map((word) => word.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)).join('-');
    const core = unwrap(inner as z.ZodType);
    const fallback = inner instanceof z.ZodDefault ? inner.def.defaultValue : null;
    return {
      path: whole,
      environment: `QUIETKEG_${words.toUpperCase().replaceAll('-', '_')}`,
      flag: `--${words}`,
      kind: core instanceof z.ZodNumber ? 'number' : core instanceof z.ZodBoolean ? 'switch' : 'text',
      description: (inner as z.ZodType).description ?? '',
      fallback: fallback === null ? null : String(fallback),
    } as const;
  });
}

function unwrap(schema: z.ZodType): z.ZodType {
  if (schema instanceof z.ZodDefault || schema instanceof z.ZodNullable) return unwrap(schema.unwrap() as z.ZodType);
  return schema;
}

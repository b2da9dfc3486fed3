/** How a channel is set up. Secrets are inside: nothing of it may be logged or told as it is. */
export type ChannelSetting = ChannelName &
  (EmailSetting | WebhookSetting | RelaySetting | WebPushSetting | BrokerSetting);

interface ChannelName {
  /** Of a-z, 0-9 and -. */
  readonly channelId: string;
  readonly name: string;
  /** Hears everything by itself, at once, without quiet hours, limits and digests. */
  readonly isProgram: boolean;
}

export interface EmailSetting {
  readonly kind: 'email';
  readonly host: string;
  readonly port: number;
  /** `tls` from the first byte; `starttls` insists on it; `none` is readable by everybody on the way. */
  readonly security: 'tls' | 'starttls' | 'none';
  readonly user: string | null;
  readonly password: string | null;
  readonly from: string;
}

export interface WebhookSetting {
  readonly kind: 'webhook';
  readonly url: string;
  /** whsec_ and base64. */
  readonly secret: string;
}

export interface RelaySetting {
  readonly kind: 'relay';
  readonly method: 'POST' | 'PUT' | 'GET';
  readonly url: string;
  readonly headers: readonly { readonly name: string; readonly value: string }[];
  readonly body: string;
}

export interface WebPushSetting {
  readonly kind: 'web-push';
  /** Whom a push service may write to about us: mailto: or https:. */
  readonly contact: string;
}

export interface BrokerSetting {
  readonly kind: 'mqtt';
}

/** The broker is a channel without being set up. */
export const BROKER_CHANNEL: ChannelSetting = { channelId: 'mqtt', name: 'MQTT', isProgram: true, kind: 'mqtt' };

/** The lane of the broker, which no person owns. */
export const BROKER_LANE = '/mqtt';

/** All that must never be shown, whatever a remote answers. */
export function secretsOf(setting: ChannelSetting): readonly string[] {
  switch (setting.kind) {
    case 'email':
      return setting.password === null ? [] : [setting.password];
    case 'webhook':
      return [setting.secret, ...addressSecrets(setting.url)];
    case 'relay':
      return [...setting.headers.map(({ value }) => value), ...addressSecrets(setting.url)];
    case 'web-push':
    case 'mqtt':
      return [];
  }
}

/** Many services keep a key in the path or the query of their address. */
function addressSecrets(url: string): string[] {
  const [, rest = ''] = /^[a-z]+:\/\/[^/?#]+(.*)/is.exec(url) ?? [];
  return rest.length > 1 ? [rest] : [];
}

/** A shorter secret would blacken harmless words. */
const SECRET_LENGTH_MIN = 4;

export function withoutSecrets(text: string, secrets: readonly string[]): string {
  return secrets
    .filter((secret) => secret.length >= SECRET_LENGTH_MIN)
    .toSorted((a, b) => b.length - a.length)
    .reduce((told, secret) => told.replaceAll(secret, '•••'), text);
}

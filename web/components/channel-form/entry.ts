import type { ChannelReport } from '../../../src/contract/channel.ts';
import type { ChannelInput } from '../../store/telling.ts';
import { numberFrom } from '../form/field.tsx';

export type FormKind = ChannelInput['kind'];

/** The form as typed. */
export interface ChannelFields {
  readonly name: string;
  readonly kind: FormKind;
  readonly program: boolean;
  readonly host: string;
  readonly port: string;
  readonly security: 'starttls' | 'tls' | 'none';
  readonly user: string;
  readonly password: string;
  readonly from: string;
  readonly url: string;
  readonly method: 'POST' | 'PUT' | 'GET';
  readonly headers: readonly { readonly name: string; readonly value: string }[];
  readonly body: string;
  readonly contact: string;
}

const EMPTY: ChannelFields = {
  name: '',
  kind: 'email',
  program: false,
  host: '',
  port: '587',
  security: 'starttls',
  user: '',
  password: '',
  from: '',
  url: '',
  method: 'POST',
  headers: [{ name: 'Content-Type', value: 'application/json' }],
  body: '{"text":"{{text}}"}',
  contact: 'mailto:',
};

/** The form of a channel as it is; of a new one with null. What is secret is never in it. */
export function channelFields(channel: ChannelReport | null): ChannelFields {
  if (channel === null || channel.kind === 'live' || channel.kind === 'mqtt') return EMPTY;
  const { name, kind, program, setting } = channel;
  const security = setting.security === 'tls' || setting.security === 'none' ? setting.security : 'starttls';
  return {
    ...EMPTY,
    name,
    kind,
    program,
    security,
    host: setting.host ?? '',
    port: String(setting.port ?? 587),
    user: setting.user ?? '',
    from: setting.from ?? '',
    url: setting.url ?? '',
    method: setting.method === 'PUT' || setting.method === 'GET' ? setting.method : 'POST',
    headers: kind === 'relay' ? (setting.headers ?? []).map((header) => ({ ...header, value: '' })) : EMPTY.headers,
    body: kind === 'relay' ? (setting.body ?? '') : EMPTY.body,
    contact: setting.contact ?? EMPTY.contact,
  };
}

/** What is sent; or what is wrong with it before it is. An empty secret is left out, and so stays as it was. */
export function readChannel(fields: ChannelFields, channelId: string): ChannelInput | string {
  const { kind, program } = fields;
  const named = { channelId, name: fields.name.trim() };
  switch (kind) {
    case 'email': {
      const { host, security, user, password, from } = fields;
      const port = numberFrom(fields.port);
      if (port === null) return 'Give the port as a number, such as 587.';
      const login = user.trim() === '' ? { user: null, password: null } : { user: user.trim() };
      const secret = password === '' || user.trim() === '' ? {} : { password };
      return { ...named, program, kind, host: host.trim(), port, security, ...login, ...secret, from: from.trim() };
    }
    case 'webhook':
      return { ...named, program, kind, url: fields.url.trim() };
    case 'relay': {
      const headers = fields.headers.flatMap(({ name, value }) => {
        return name.trim() === '' ? [] : [{ name: name.trim(), ...(value === '' ? {} : { value }) }];
      });
      return { ...named, program, kind, method: fields.method, url: fields.url.trim(), body: fields.body, headers };
    }
    case 'web-push':
      return { ...named, kind, contact: fields.contact.trim() };
  }
}

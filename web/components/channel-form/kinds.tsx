import type { ChannelReport } from '../../../src/contract/channel.ts';
import type { Trouble } from '../../store/api.ts';
import { NumberField, SelectField, TextField } from '../form/field.tsx';
import { SecretField } from '../form/secret-field.tsx';
import { wrongAt } from '../form/trouble.tsx';
import type { ChannelFields } from './entry.ts';

interface Parts {
  readonly fields: ChannelFields;
  readonly channel: ChannelReport | null;
  readonly trouble: Trouble | null;
  readonly change: (next: Partial<ChannelFields>) => void;
}

const SECURITY = [
  ['starttls', 'STARTTLS (usual, port 587)'],
  ['tls', 'TLS from the start (port 465)'],
  ['none', 'none: anybody on the way can read it'],
] as const;
const METHODS = [
  ['POST', 'POST'],
  ['PUT', 'PUT'],
  ['GET', 'GET'],
] as const;

export function EmailFields({ fields, channel, trouble, change }: Parts) {
  return (
    <>
      <TextField
        label="Mail server"
        value={fields.host}
        required
        placeholder="mail.example.org"
        wrong={wrongAt(trouble, '/host')}
        onValue={(host) => change({ host })}
      />
      <NumberField
        label="Port"
        value={fields.port}
        required
        wrong={wrongAt(trouble, '/port')}
        onValue={(port) => change({ port })}
      />
      <SelectField
        label="Encryption"
        value={fields.security}
        choices={SECURITY}
        wrong={wrongAt(trouble, '/security')}
        onValue={(value) => change({ security: SECURITY.find(([one]) => one === value)?.[0] ?? 'starttls' })}
      />
      <TextField
        label="User"
        value={fields.user}
        hint="Empty if the server wants none"
        wrong={wrongAt(trouble, '/user')}
        onValue={(user) => change({ user })}
      />
      <SecretField
        label="Password"
        value={fields.password}
        kept={channel?.setting.passwordSet === true}
        wrong={wrongAt(trouble, '/password')}
        onValue={(password) => change({ password })}
      />
      <TextField
        label="Sender’s address"
        value={fields.from}
        required
        placeholder="keg@example.org"
        wrong={wrongAt(trouble, '/from')}
        onValue={(from) => change({ from })}
      />
      {channel !== null && (
        <p class="note wide">With another server or user the password is to be given again: it goes nowhere else.</p>
      )}
    </>
  );
}

export function WebhookFields({ fields, channel, trouble, change }: Parts) {
  return (
    <>
      <TextField
        label="Address"
        value={fields.url}
        wide
        required
        placeholder="https://house.example/hook"
        wrong={wrongAt(trouble, '/url')}
        onValue={(url) => change({ url })}
      />
      <p class="note wide">
        {channel === null
          ? 'A signing secret is made for it, and shown once.'
          : 'Its signing secret is kept. For a new one remove the channel and add it again.'}
      </p>
    </>
  );
}

export function RelayFields({ fields, channel, trouble, change }: Parts) {
  const known = new Set(channel?.setting.headers?.map(({ name }) => name) ?? []);
  const header = (at: number, next: Partial<ChannelFields['headers'][number]>): void =>
    change({ headers: fields.headers.map((one, index) => (index === at ? { ...one, ...next } : one)) });
  return (
    <>
      <SelectField
        label="Method"
        value={fields.method}
        choices={METHODS}
        onValue={(value) => change({ method: METHODS.find(([one]) => one === value)?.[0] ?? 'POST' })}
      />
      <TextField
        label="Address"
        value={fields.url}
        wide
        required
        placeholder="https://relay.example/send"
        wrong={wrongAt(trouble, '/url')}
        onValue={(url) => change({ url })}
      />
      {fields.headers.map(({ name, value }, at) => (
        <div class="wide pair" key={at}>
          <TextField
            label={`Header ${at + 1}`}
            value={name}
            wrong={wrongAt(trouble, `/headers/${at}/name`)}
            onValue={(next) => header(at, { name: next })}
          />
          <SecretField
            label={`Value of header ${at + 1}`}
            value={value}
            kept={known.has(name)}
            wrong={wrongAt(trouble, `/headers/${at}/value`)}
            onValue={(next) => header(at, { value: next })}
          />
        </div>
      ))}
      <button
        class="btn plain wide add"
        type="button"
        onClick={() => change({ headers: [...fields.headers, { name: '', value: '' }] })}
      >
        Another header
      </button>
      <label class="field wide">
        What is sent
        <textarea value={fields.body} rows={3} onInput={(event) => change({ body: event.currentTarget.value })} />
        <span>
          Filled in are {'{{text}}'}, {'{{subject}}'}, {'{{details}}'}, {'{{level}}'}, {'{{keg}}'}, {'{{link}}'},{' '}
          {'{{acknowledge}}'} (a link that acknowledges without a log-in), {'{{address}}'}, {'{{time}}'}, {'{{what}}'}{' '}
          and {'{{id}}'}.
        </span>
      </label>
    </>
  );
}

export function PushFields({ fields, trouble, change }: Parts) {
  return (
    <TextField
      label="How to reach you"
      value={fields.contact}
      required
      hint="mailto: and a mail address, for the maker of the browser, should we ever trouble its push service"
      wrong={wrongAt(trouble, '/contact')}
      onValue={(contact) => change({ contact })}
    />
  );
}

import { useState } from 'preact/hooks';
import type { ChannelReport } from '../../../src/contract/channel.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { type ChannelInput, idFrom } from '../../store/telling.ts';
import { SelectField, TextField, Tick } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import '../../styles/lists.css';
import { type ChannelFields, channelFields, readChannel } from './entry.ts';
import { EmailFields, PushFields, RelayFields, WebhookFields } from './kinds.tsx';

interface Props {
  /** Null for a new one. */
  readonly channel: ChannelReport | null;
  /** Ids that other channels have. */
  readonly taken?: readonly string[];
  readonly onKeep: (entry: ChannelInput) => Promise<Told | null>;
  readonly onDone: () => void;
}

const KINDS = [
  ['email', 'e-mail, by a mail server'],
  ['web-push', 'browsers of phones and computers'],
  ['webhook', 'a signed webhook, for a program'],
  ['relay', 'any HTTP service, by a template'],
] as const;

const LABELS = {
  '/name': 'What you call it',
  '/host': 'Mail server',
  '/port': 'Port',
  '/security': 'Encryption',
  '/user': 'User',
  '/password': 'Password',
  '/from': 'Sender’s address',
  '/url': 'Address',
  '/body': 'What is sent',
  '/contact': 'How to reach you',
} as const;

/** A channel is added or changed. */
export function ChannelForm({ channel, taken = [], onKeep, onDone }: Props) {
  const [fields, setFields] = useState<ChannelFields>(() => channelFields(channel));
  const entry = useEntry();
  const change = (next: Partial<ChannelFields>): void => setFields({ ...fields, ...next });
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readChannel(fields, channel?.channelId ?? idFrom(fields.name, [...taken, 'live', 'mqtt']));
    if (typeof read === 'string') entry.refuse(read);
    else void entry.send(() => onKeep(read), onDone);
  };
  const parts = { fields, change, channel, trouble: entry.trouble };
  return (
    <form class="channel-form" onSubmit={submit}>
      <div class="fields">
        {channel === null && (
          <SelectField
            label="Kind"
            value={fields.kind}
            choices={KINDS}
            onValue={(value) => change({ kind: KINDS.find(([kind]) => kind === value)?.[0] ?? 'email' })}
          />
        )}
        <TextField
          label={LABELS['/name']}
          value={fields.name}
          required
          wrong={wrongAt(entry.trouble, '/name')}
          onValue={(name) => change({ name })}
        />
        {fields.kind === 'email' && <EmailFields {...parts} />}
        {fields.kind === 'webhook' && <WebhookFields {...parts} />}
        {fields.kind === 'relay' && <RelayFields {...parts} />}
        {fields.kind === 'web-push' && <PushFields {...parts} />}
      </div>
      {fields.kind !== 'web-push' && (
        <Tick checked={fields.program} onChange={(program) => change({ program })}>
          For a program, not for people: it hears every alert by itself, at once, without quiet hours
        </Tick>
      )}
      <div class="doing">
        <button class="btn main" type="submit" disabled={entry.busy}>
          {channel === null ? 'Add this channel' : 'Keep it so'}
        </button>
        <button class="btn plain" type="button" onClick={onDone}>
          Leave it
        </button>
      </div>
      <Trouble trouble={entry.trouble} labels={LABELS} />
    </form>
  );
}

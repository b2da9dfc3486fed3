import { type ComponentChildren, h } from 'preact';
import { HOOK_CHANNEL, MAIL_CHANNEL, PUSH_CHANNEL, RELAY_CHANNEL } from '../channel-row/sample-channels.ts';
import type { Example } from '../example.ts';
import { ChannelForm } from './channel-form.tsx';
import { NewSecret } from './new-secret.tsx';

const none = () => Promise.resolve(null);
const shown = (channel: Parameters<typeof ChannelForm>[0]['channel']) =>
  h(ChannelForm, { channel, onKeep: none, onDone: () => undefined });

/** As it stands on the page: below the heading of its part. */
const part = (inside: ComponentChildren) => h('section', null, h('h2', null, 'Channels'), inside);

export const examples: readonly Example[] = [
  { name: 'new', render: () => shown(null) },
  { name: 'e-mail', render: () => shown(MAIL_CHANNEL) },
  { name: 'webhook', render: () => shown(HOOK_CHANNEL) },
  { name: 'relay', render: () => shown(RELAY_CHANNEL) },
  { name: 'browsers', render: () => shown(PUSH_CHANNEL) },
  {
    name: 'new secret',
    render: () => part(h(NewSecret, { name: 'The house', secret: 'whsec_c2FtcGxlLW9ubHk=', onSeen: () => undefined })),
  },
];

import { h } from 'preact';
import type { ChannelReport } from '../../../src/contract/channel.ts';
import type { Example } from '../example.ts';
import { ChannelRow } from './channel-row.tsx';
import { SAMPLE_CHANNELS, SAMPLE_PERSON } from './sample-channels.ts';

const shown = (channels: readonly ChannelReport[]) =>
  h(
    'ul',
    { class: 'rows' },
    channels.map((channel) =>
      h(ChannelRow, {
        key: channel.channelId,
        channel,
        people: [SAMPLE_PERSON],
        onTest: () => Promise.resolve({ ok: true as const, body: { results: [] } }),
        onChange: () => Promise.resolve(null),
        onRemove: () => Promise.resolve(null),
      }),
    ),
  );

export const examples: readonly Example[] = [{ name: 'of every kind and state', render: () => shown(SAMPLE_CHANNELS) }];

import { h } from 'preact';
import type { Access, SessionList } from '../../../src/contract/access.ts';
import type { Example } from '../example.ts';
import { AccessPanel } from './access-panel.tsx';

const owner: Access = {
  claimed: true,
  accounts: ['owner', 'viewer'],
  claimNeedsToken: false,
  you: { role: 'owner', sessionId: 's1' },
};
const at = '2026-03-01T18:00:00.000Z';
const sessions: SessionList = {
  sessions: [
    {
      sessionId: 's1',
      role: 'owner',
      kind: 'log-in',
      name: 'Firefox on Linux',
      createdAt: at,
      seenAt: at,
      endsAt: at,
      yours: true,
    },
    {
      sessionId: 's2',
      role: 'viewer',
      kind: 'device',
      name: 'Fridge door',
      createdAt: at,
      seenAt: at,
      endsAt: null,
      yours: false,
    },
  ],
  invitations: [{ name: 'Counter', createdAt: at, endsAt: at }],
};

export const examples: readonly Example[] = [
  { name: 'owner', render: () => h(AccessPanel, { access: owner, sessions }) },
  {
    name: 'guest',
    render: () => h(AccessPanel, { access: { ...owner, you: { role: 'viewer', sessionId: 's2' } }, sessions: null }),
  },
  {
    name: 'no passphrase yet',
    render: () =>
      h(AccessPanel, {
        access: { ...owner, claimed: false, accounts: [], you: { role: 'owner', sessionId: null } },
        sessions: null,
      }),
  },
];

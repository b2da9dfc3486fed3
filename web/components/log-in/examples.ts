import { h } from 'preact';
import type { Access } from '../../../src/contract/access.ts';
import type { Example } from '../example.ts';
import { ClaimForm, LogInForm } from './log-in.tsx';

const nobody = { detail: 'This is not the passphrase.', errors: [] };
const out: Access = { claimed: true, accounts: ['owner', 'operator', 'viewer'], claimNeedsToken: false, you: null };

export const examples: readonly Example[] = [
  { name: 'several accounts', render: () => h(LogInForm, { access: out, onLogIn: async () => nobody }) },
  {
    name: 'one account',
    render: () => h(LogInForm, { access: { ...out, accounts: ['owner'] }, onLogIn: async () => nobody }),
  },
  {
    name: 'first passphrase, elsewhere',
    render: () => h(ClaimForm, { needsToken: true, onClaim: async () => nobody }),
  },
  { name: 'first passphrase, here', render: () => h(ClaimForm, { needsToken: false, onClaim: async () => nobody }) },
];

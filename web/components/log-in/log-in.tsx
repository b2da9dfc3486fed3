import { useState } from 'preact/hooks';
import type { Access, AccessRole } from '../../../src/contract/access.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { PassphraseField, SelectField, TextField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';

/** What each account may do, as its holder reads it. */
export const ACCOUNT_WORDS: Readonly<Record<AccessRole, string>> = {
  owner: 'The owner: everything',
  operator: 'A helper: enters what is done',
  viewer: 'A guest: looks only',
};

/** Asks for the passphrase of an account. */
export function LogInForm({
  access,
  onLogIn,
}: {
  readonly access: Access;
  readonly onLogIn: (account: AccessRole, passphrase: string) => Promise<Told | null>;
}) {
  const entry = useEntry();
  const [account, setAccount] = useState<AccessRole>(access.accounts[0] ?? 'owner');
  const [passphrase, setPassphrase] = useState('');
  return (
    <form
      class="fields"
      onSubmit={(event) => {
        event.preventDefault();
        void entry.send(() => onLogIn(account, passphrase));
      }}
    >
      {access.accounts.length > 1 && (
        <SelectField
          label="Come in as"
          value={account}
          wide
          choices={access.accounts.map((one) => [one, ACCOUNT_WORDS[one]] as const)}
          onValue={(value) => setAccount(access.accounts.find((one) => one === value) ?? account)}
        />
      )}
      <PassphraseField label="Passphrase" value={passphrase} onValue={setPassphrase} autoComplete="current-password" />
      <div class="doing">
        <button class="btn main" type="submit" disabled={entry.busy}>
          Log in
        </button>
      </div>
      <Trouble trouble={entry.trouble} />
    </form>
  );
}

/** Sets the first passphrase. From elsewhere in the house it takes the token that the service printed when it started. */
export function ClaimForm({
  needsToken,
  onClaim,
}: {
  readonly needsToken: boolean;
  readonly onClaim: (passphrase: string, token: string) => Promise<Told | null>;
}) {
  const entry = useEntry();
  const [passphrase, setPassphrase] = useState('');
  const [again, setAgain] = useState('');
  const [token, setToken] = useState('');
  const send = (): void => {
    if (passphrase !== again) entry.refuse('The two passphrases are not the same.');
    else void entry.send(() => onClaim(passphrase, token.trim()));
  };
  return (
    <form
      class="fields"
      onSubmit={(event) => {
        event.preventDefault();
        send();
      }}
    >
      {needsToken && (
        <TextField
          label="Token"
          value={token}
          onValue={setToken}
          required
          wide
          hint="Quietkeg printed it when it started"
          wrong={wrongAt(entry.trouble, '/token')}
        />
      )}
      <PassphraseField
        label="New passphrase"
        value={passphrase}
        onValue={setPassphrase}
        autoComplete="new-password"
        hint="At least 12 characters; three or four words do well"
        wrong={wrongAt(entry.trouble, '/passphrase')}
      />
      <PassphraseField label="Once more" value={again} onValue={setAgain} autoComplete="new-password" />
      <div class="doing">
        <button class="btn main" type="submit" disabled={entry.busy}>
          Set the passphrase
        </button>
      </div>
      <Trouble trouble={entry.trouble} labels={{ '/token': 'Token', '/passphrase': 'New passphrase' }} />
    </form>
  );
}

import { useState } from 'preact/hooks';
import type { Access, AccessRole, SessionList } from '../../../src/contract/access.ts';
import { localTimes } from '../../format/times.ts';
import { changePassphrase, claim, endSession, inviteTablet, logOut } from '../../store/access.ts';
import { serviceNow } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { PassphraseField, SelectField, TextField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { ACCOUNT_WORDS, ClaimForm } from '../log-in/log-in.tsx';
import './access-panel.css';

const ROLES: readonly AccessRole[] = ['owner', 'operator', 'viewer'];
const MAY: Readonly<Record<AccessRole, string>> = {
  owner: 'may do everything',
  operator: 'enters what is done',
  viewer: 'looks only',
};

/** Who may come in, and who is in. */
export function AccessPanel({ access, sessions }: { readonly access: Access; readonly sessions: SessionList | null }) {
  const role = access.you?.role ?? 'viewer';
  return (
    <section class="part access" aria-labelledby="h-access">
      <header>
        <h2 id="h-access">Access</h2>
        <p class="note">
          {access.claimed ? `you are logged in: ${MAY[role]}` : 'this machine alone, without a passphrase'}
        </p>
      </header>
      {!access.claimed && role === 'owner' && (
        <details>
          <summary>Set a passphrase</summary>
          <p class="note">
            With one, everybody logs in, and Quietkeg may be reached from other devices once it is told to listen to
            them.
          </p>
          <ClaimForm needsToken={access.claimNeedsToken} onClaim={claim} />
        </details>
      )}
      {access.claimed && role === 'owner' && (
        <>
          <Sessions sessions={sessions} />
          <Tablet />
          <Passphrases accounts={access.accounts} />
        </>
      )}
      {access.claimed && <LogOut />}
    </section>
  );
}

function Sessions({ sessions }: { readonly sessions: SessionList | null }) {
  const entry = useEntry();
  if (sessions === null) return <p class="note">Asking who is in.</p>;
  const now = serviceNow.value;
  const when = (at: string): string => localTimes(at, now, zone.value);
  return (
    <>
      <ul class="who">
        {sessions.sessions.map((one) => (
          <li key={one.sessionId}>
            <span>
              {one.name}
              {one.yours && ' (this one)'}
              <span class="note">
                {' '}
                {MAY[one.role]}, last seen {when(one.seenAt)}
              </span>
            </span>
            {!one.yours && (
              <button
                class="btn"
                type="button"
                aria-label={`End: ${one.name}`}
                disabled={entry.busy}
                onClick={() => void entry.send(() => endSession(one.sessionId))}
              >
                End
              </button>
            )}
          </li>
        ))}
        {sessions.invitations.map((one) => (
          <li key={one.createdAt}>
            <span>
              {one.name}
              <span class="note"> its link waits until {when(one.endsAt)}</span>
            </span>
          </li>
        ))}
      </ul>
      <Trouble trouble={entry.trouble} />
    </>
  );
}

function Tablet() {
  const entry = useEntry();
  const [name, setName] = useState('');
  const [link, setLink] = useState<string | null>(null);
  const send = async () => {
    const answer = await inviteTablet(name);
    if (!answer.ok) return answer.trouble;
    setLink(answer.body);
    setName('');
    return null;
  };
  return (
    <details>
      <summary>Let a tablet on the wall in</summary>
      <form
        class="fields"
        onSubmit={(event) => {
          event.preventDefault();
          void entry.send(send);
        }}
      >
        <TextField label="What it is called" value={name} onValue={setName} required wide placeholder="Fridge door" />
        <div class="doing">
          <button class="btn" type="submit" disabled={entry.busy}>
            Make a link
          </button>
        </div>
        {link !== null && (
          <p class="link">
            Open this on the tablet, once, within a day: <code>{link}</code>
          </p>
        )}
        <Trouble trouble={entry.trouble} />
      </form>
    </details>
  );
}

function Passphrases({ accounts }: { readonly accounts: readonly AccessRole[] }) {
  const entry = useEntry();
  const [role, setRole] = useState<AccessRole>('owner');
  const [passphrase, setPassphrase] = useState('');
  const [yours, setYours] = useState('');
  return (
    <details>
      <summary>Change a passphrase</summary>
      <form
        class="fields"
        onSubmit={(event) => {
          event.preventDefault();
          void entry.send(
            () => changePassphrase(role, passphrase, yours),
            () => {
              setPassphrase('');
              setYours('');
            },
          );
        }}
      >
        <SelectField
          label="Whose"
          value={role}
          wide
          choices={ROLES.map((one) => [one, `${ACCOUNT_WORDS[one]}${accounts.includes(one) ? '' : ' (none yet)'}`])}
          onValue={(value) => setRole(ROLES.find((one) => one === value) ?? role)}
          hint={role === 'owner' ? 'Everybody must log in anew, tablets too' : 'Whoever came in by it must log in anew'}
        />
        <PassphraseField
          label="New passphrase"
          value={passphrase}
          onValue={setPassphrase}
          autoComplete="new-password"
          hint="At least 12 characters; three or four words do well"
          wrong={wrongAt(entry.trouble, '/passphrase')}
        />
        <PassphraseField
          label="The owner’s present passphrase"
          value={yours}
          onValue={setYours}
          autoComplete="current-password"
          wrong={wrongAt(entry.trouble, '/yours')}
        />
        <div class="doing">
          <button class="btn" type="submit" disabled={entry.busy}>
            Change it
          </button>
          {entry.done && <span class="note">Changed.</span>}
        </div>
        <Trouble
          trouble={entry.trouble}
          labels={{ '/passphrase': 'New passphrase', '/yours': 'The owner’s present passphrase' }}
        />
      </form>
    </details>
  );
}

function LogOut() {
  const entry = useEntry();
  return (
    <div class="doing">
      <button class="btn" type="button" disabled={entry.busy} onClick={() => void entry.send(logOut)}>
        Log out
      </button>
      <Trouble trouble={entry.trouble} />
    </div>
  );
}

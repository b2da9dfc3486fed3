import { Trouble } from '../components/form/trouble.tsx';
import { useEntry } from '../components/form/use-entry.ts';
import { ClaimForm, LogInForm } from '../components/log-in/log-in.tsx';
import { access, claim, enterTablet, logIn } from '../store/access.ts';
import { route } from '../store/navigation.ts';
import './door.css';

/** The way in: a tablet by its link, everybody else by a passphrase, the first one by setting it. */
export function DoorPage() {
  const here = access.value;
  if (route.value.page === 'tablet') return <TabletDoor token={location.hash.slice(1)} />;
  if (here === null) return <p class="loading" />;
  if (here.claimed) {
    return (
      <div class="sheet door">
        <h1>Log in to Quietkeg</h1>
        <LogInForm access={here} onLogIn={logIn} />
      </div>
    );
  }
  return (
    <div class="sheet door">
      <h1>Set a passphrase</h1>
      <p class="note">
        Nobody has set one yet. Whoever sets it owns this Quietkeg. If the service was not started for this, set it on
        the machine itself with <code>quietkeg passphrase</code>.
      </p>
      <ClaimForm needsToken={here.claimNeedsToken} onClaim={claim} />
    </div>
  );
}

function TabletDoor({ token }: { readonly token: string }) {
  const entry = useEntry();
  return (
    <div class="sheet door">
      <h1>Let this screen in</h1>
      <p class="note">
        It may look at everything and change nothing, until the owner ends it in the settings. The link works once.
      </p>
      <div class="doing">
        <button
          class="btn main"
          type="button"
          disabled={entry.busy}
          onClick={() => void entry.send(() => enterTablet(token))}
        >
          Let this screen in
        </button>
      </div>
      <Trouble trouble={entry.trouble} />
    </div>
  );
}

import { CopyLine } from '../copy-line/copy-line.tsx';

/** A signing secret that was just made: it is shown this once. */
export function NewSecret({
  name,
  secret,
  onSeen,
}: {
  readonly name: string;
  readonly secret: string;
  readonly onSeen: () => void;
}) {
  return (
    <div class="new-secret" role="status">
      <h3>The secret of {name}</h3>
      <p>Give it to the program that receives. It is shown this once and never again.</p>
      <CopyLine text={secret} label="the secret" />
      <p class="note">
        How the program makes sure that a message is from here (Standard Webhooks): join the header{' '}
        <code>webhook-id</code>, a dot, the header <code>webhook-timestamp</code>, a dot, and the body as it came. Take
        the HMAC-SHA256 of that, with what stands behind <code>whsec_</code>, decoded from base64, as the key. In base64
        and with <code>v1,</code> before it, it must be one of those in the header <code>webhook-signature</code>.
        Refuse what is older than five minutes, and an id that came before.
      </p>
      <div class="doing">
        <button class="btn" type="button" onClick={onSeen}>
          I have kept it
        </button>
      </div>
    </div>
  );
}

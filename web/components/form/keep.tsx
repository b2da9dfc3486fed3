import type { ComponentChildren } from 'preact';
import { Trouble } from './trouble.tsx';
import type { Entry } from './use-entry.ts';

interface Props {
  readonly entry: Entry;
  /** What its fields are called in what the service says of them. */
  readonly labels: Readonly<Record<string, string>>;
  /** The one thing to do on its page. */
  readonly main?: boolean;
  /** What else can be done beside it. */
  readonly children?: ComponentChildren;
}

/** The foot of a form: its button, whether it was kept, and what went wrong. */
export function Keep({ entry, labels, main = false, children }: Props) {
  return (
    <>
      <div class="doing">
        <button class={main ? 'btn main' : 'btn'} type="submit" disabled={entry.busy}>
          Keep these
        </button>
        {entry.done && <span class="note">Kept.</span>}
        {children}
      </div>
      <Trouble trouble={entry.trouble} labels={labels} />
    </>
  );
}

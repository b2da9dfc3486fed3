import type { Drift } from './drift.ts';
import './fill-watch.css';

/** What has drifted since the fill began: said at once, aloud for those who cannot look. */
export function FillWatch({ drifts }: { readonly drifts: readonly Drift[] }) {
  return (
    <div class="fill-watch is-act" role="alert">
      {drifts.map(({ name, what, todo }) => (
        <p key={name} class="slip">
          {what} <b>{todo}</b>
        </p>
      ))}
    </div>
  );
}

import { view } from '../store/dashboard.ts';

/** In place of a keg that nobody knows, or does not know yet. */
export function NoKeg({ kegId }: { readonly kegId: string }) {
  if (!view.value.known || view.value.connection !== 'live') return <p class="loading">Asking what was last heard.</p>;
  return (
    <div class="sheet">
      <h1>There is no keg “{kegId}”</h1>
      <p>
        It was removed, or never heard. <a href="/">See all kegs</a>.
      </p>
    </div>
  );
}

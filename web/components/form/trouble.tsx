import type { Trouble as Told } from '../../store/api.ts';

/** What went wrong with an entry, in the service's own words. */
export function Trouble({ trouble }: { readonly trouble: Told | null }) {
  if (trouble === null) return null;
  return (
    <div class="trouble">
      <p>{trouble.detail}</p>
      {trouble.errors.length > 0 && (
        <ul>
          {trouble.errors.map((error) => (
            <li key={error.pointer + error.detail}>
              {error.pointer.replace(/^\//, '')}: {error.detail}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}

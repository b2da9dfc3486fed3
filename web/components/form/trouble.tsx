import type { Trouble as Told } from '../../store/api.ts';

/** What went wrong with an entry, in the service's own words. */
export function Trouble({ trouble }: { readonly trouble: Told | null }) {
  if (trouble === null) return null;
  // The sentence mostly tells of every field already.
  const more = trouble.errors.filter(({ detail }) => !trouble.detail.includes(detail));
  return (
    <div class="trouble">
      <p>{trouble.detail}</p>
      {more.length > 0 && (
        <ul>
          {more.map((error) => (
            <li key={error.pointer + error.detail}>
              {error.pointer.replace(/^\//, '')}: {error.detail}
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}

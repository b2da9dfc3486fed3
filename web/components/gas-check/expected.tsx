import { lensPath } from '../way/layout.ts';
import type { ExpectedRow } from './words.ts';

const WIDE = 220;
const HIGH = 28;
/** A very sure keg is still a drop, not a line. */
const LEAST_HALF = 8;

/** How sure we are now and after some hours: the same lens, getting shorter. */
export function Expected({ rows }: { readonly rows: readonly ExpectedRow[] }) {
  if (rows.length === 0) return null;
  return (
    <table class="expected">
      <caption class="note">How closely it is known what is in the beer, nine times in ten</caption>
      <tbody>
        {rows.map(({ label, share, words }) => (
          <tr key={label}>
            <th scope="row">{label}</th>
            <td>
              <svg viewBox={`0 0 ${WIDE} ${HIGH}`} preserveAspectRatio="none" aria-hidden="true">
                <path d={halfLens(share)} fill="var(--text)" />
                <path d={`M${WIDE / 2} 5V${HIGH - 5}`} class="slit" />
              </svg>
            </td>
            <td class="num">within {words}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function halfLens(share: number): string {
  const half = Math.max(LEAST_HALF, (share * WIDE) / 2);
  return lensPath(WIDE / 2 - half, WIDE / 2 + half, HIGH / 2, 12);
}

import type { Units } from '../../../src/contract/catalogue.ts';
import type { GasCheckResult } from '../../../src/contract/gas-check.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import './gas-check.css';
import { resultSentences, resultTitle } from './words.ts';

/** What earlier checks of this beer found, newest first. */
export function Results({ results, units }: { readonly results: readonly GasCheckResult[]; readonly units: Units }) {
  if (results.length === 0) return null;
  return (
    <section class="part results" aria-labelledby="h-results">
      <header>
        <h2 id="h-results">What checks found</h2>
      </header>
      <ul class="rows">
        {results.map((result) => (
          <li key={result.startedAt}>
            <p class="note">{resultTitle(result, serviceMinute.value, zone.value)}</p>
            <p>{resultSentences(result, units).join(' ')}</p>
          </li>
        ))}
      </ul>
    </section>
  );
}

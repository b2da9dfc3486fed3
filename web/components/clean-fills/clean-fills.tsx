import type { Units } from '../../../src/contract/catalogue.ts';
import type { CleanFills } from '../../../src/contract/learning.ts';
import { measure } from '../../format/numbers.ts';
import './clean-fills.css';
import { countedWords, FACTOR_WORD, leftOutWords, shareWords } from './words.ts';

interface Props {
  readonly learnt: CleanFills;
  readonly units: Units;
}

/** What gave clean fills, as a suggestion for next time and as numbers that anybody can check. */
export function CleanFillsPart({ learnt, units }: Props) {
  const { all, factors, suggestion } = learnt;
  const leftOut = leftOutWords(learnt);
  return (
    <div class="clean-fills">
      {suggestion.map((sentence, index) => (
        <p key={sentence} class={index === 0 ? 'lead' : ''}>
          {sentence}
        </p>
      ))}
      {all.bottles > 0 && (
        <p>
          So far {countedWords(all)}: {shareWords(all)}.
        </p>
      )}
      {factors.length > 0 && (
        <table>
          <caption class="aside">Foamed bottles in the lower and upper half of the fills</caption>
          <thead>
            <tr>
              <th scope="col">Fills by</th>
              <th scope="col">below</th>
              <th scope="col">above</th>
            </tr>
          </thead>
          <tbody>
            {factors.map(({ name, unit, limit, below, above }) => (
              <tr key={name}>
                <th scope="row">
                  {FACTOR_WORD[name]} <span class="note">{measure(limit, unit, units)}</span>
                </th>
                {[below, above].map((half, index) => (
                  <td key={index === 0 ? 'below' : 'above'}>
                    {half.foamy} of {half.bottles} <span class="note">{shareWords(half)}</span>
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {leftOut !== null && <p class="note">{leftOut}</p>}
    </div>
  );
}

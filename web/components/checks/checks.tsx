import type { Units } from '../../../src/contract/catalogue.ts';
import type { Check, Input } from '../../../src/contract/state.ts';
import {
  CHECK_QUANTITIES,
  CHECK_SIGN,
  CHECK_STATE_WORD,
  CHECK_WORD,
  checkWord,
  counted,
  listed,
} from '../../format/words.ts';
import { oldestOf } from '../../store/ageing.ts';
import { Age } from '../age/age.tsx';
import { Sign } from '../sign/sign.tsx';
import './checks.css';
import type { Reckoning } from './reckoned.ts';
import { type ReckoningBasis, reckoning } from './reckoning.ts';
import { shown, wantedText, whySentences } from './why.ts';

interface Props {
  readonly checks: readonly Check[];
  readonly inputs: readonly Input[];
  readonly units: Units;
  readonly old: boolean;
  /** Already said in the page's head: not said again. */
  readonly headline?: string;
  /** Where a gas check is made, which tells more of the carbonation. */
  readonly gasCheckPath?: string;
  /** What the checks rest on, where it can be shown. */
  readonly basis?: ReckoningBasis;
}

const ORDER = { act: 0, unknown: 1, wait: 2, pass: 3, 'not-watched': 4 } as const;

/** May I fill? Every check with what is, what is wanted and what to do; those that need someone first. */
export function Checks({ checks, inputs, units, old, headline = '', gasCheckPath, basis }: Props) {
  const watched = checks
    .filter((check) => check.state !== 'not-watched')
    .sort((a, b) => ORDER[a.state] - ORDER[b.state]);
  const unwatched = checks.filter((check) => check.state === 'not-watched');
  return (
    <section class="part checks" aria-labelledby="h-checks">
      <header>
        <h2 id="h-checks">May I fill?</h2>
        <p class="note">{old ? 'Nothing is heard now: these are the last known checks.' : summary(watched)}</p>
      </header>
      <ul class="rows">
        {watched.map((check) => (
          <Row
            key={check.name}
            check={check}
            inputs={inputs}
            units={units}
            old={old}
            headline={headline}
            {...(basis === undefined ? {} : { basis })}
            {...(gasCheckPath !== undefined && check.name === 'carbonation' ? { gasCheckPath } : {})}
          />
        ))}
      </ul>
      {unwatched.length > 0 && (
        <p class="note unwatched">
          Not watched, so look yourself: {listed(unwatched.map((check) => CHECK_WORD[check.name].toLowerCase()))}.
        </p>
      )}
    </section>
  );
}

function Row({
  check,
  inputs,
  units,
  old,
  headline,
  gasCheckPath,
  basis,
}: Omit<Props, 'checks'> & { readonly check: Check }) {
  const kind = old || check.state === 'not-watched' ? 'unknown' : CHECK_SIGN[check.state];
  const is = shown(check, check.measured, units);
  const wanted = wantedText(check, units);
  const quantities = CHECK_QUANTITIES[check.name] ?? [];
  const heard = oldestOf(inputs, quantities);
  // Old advice is no advice, and what the head says already need not be said again.
  const saysAdvice = !old && check.advice !== '' && (check.state === 'act' || check.advice !== headline);
  return (
    <li class={`check is-${kind}`}>
      <details>
        <summary>
          <span class="line">
            <span class="c">
              <Sign kind={kind} />
              <span>{checkWord(check)}</span>
              <span class="aside">, {old ? 'old' : CHECK_STATE_WORD[check.state]}</span>
            </span>
            <span class="m">{old ? <s>{is}</s> : is}</span>
          </span>
          <span class="line soft-line">
            <span>
              {heard !== null && (
                <>
                  <Age input={heard} old={old} />{' '}
                </>
              )}
              <u>{basis === undefined || old || check.state === 'pass' ? 'Why' : 'Why, and what would change it'}</u>
            </span>
            <span class="m">{wanted !== null && `wanted ${wanted}`}</span>
          </span>
          {saysAdvice && <span class="d">{check.advice}</span>}
        </summary>
        <div class="why-says">
          {whySentences(check, units).map((sentence) => (
            <p key={sentence}>{sentence}</p>
          ))}
        </div>
        {basis !== undefined && !old && <Reckoned {...reckoning(check, basis, units)} />}
      </details>
      {gasCheckPath !== undefined && !old && check.state !== 'pass' && (
        <a class="tell-more" href={gasCheckPath}>
          Make a gas check
        </a>
      )}
    </li>
  );
}

/** The figures of a check, so that anybody can reckon it again, and what would change it. */
function Reckoned({ inputs, lines, change }: Reckoning) {
  return (
    <div class="why-says">
      {change.length > 0 && (
        <>
          <h3>What would change this</h3>
          <ul>
            {change.map((words) => (
              <li key={words}>{words}</li>
            ))}
          </ul>
        </>
      )}
      {lines.length > 0 && (
        <>
          <h3>Reckon it yourself</h3>
          <dl>
            {inputs.map(([what, value]) => (
              <div key={what}>
                <dt>{what}</dt>
                <dd>{value}</dd>
              </div>
            ))}
          </dl>
          {lines.map((words) => (
            <p key={words}>{words}</p>
          ))}
        </>
      )}
    </div>
  );
}

/** "2 for you, 1 takes time, 8 are fine." */
export function summary(checks: readonly Check[]): string {
  const count = (state: Check['state']): number => checks.filter((check) => check.state === state).length;
  const parts = [
    [count('act'), 'for you'],
    [count('unknown'), 'can’t be told'],
    [count('wait'), count('wait') === 1 ? 'takes time' : 'take time'],
    [count('pass'), count('pass') === 1 ? 'is fine' : 'are fine'],
  ] as const;
  const said = parts.filter(([number]) => number > 0).map(([number, words]) => `${counted(number)} ${words}`);
  const text = said.join(', ').toLowerCase();
  return text === '' ? '' : `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

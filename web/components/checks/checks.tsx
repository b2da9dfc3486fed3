import type { Units } from '../../../src/contract/catalogue.ts';
import type { Check, Input } from '../../../src/contract/state.ts';
import { measure, temperatureDifference } from '../../format/numbers.ts';
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

interface Props {
  readonly checks: readonly Check[];
  readonly inputs: readonly Input[];
  readonly units: Units;
  readonly old: boolean;
  /** Already said in the page's head: not said again. */
  readonly headline?: string;
  /** Where a gas check is made, which tells more of the carbonation. */
  readonly gasCheckPath?: string;
}

const ORDER = { act: 0, unknown: 1, wait: 2, pass: 3, 'not-watched': 4 } as const;

/** May I fill? Every check with what is, what is wanted and what to do; those that need someone first. */
export function Checks({ checks, inputs, units, old, headline = '', gasCheckPath }: Props) {
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

function Row({ check, inputs, units, old, headline, gasCheckPath }: Omit<Props, 'checks'> & { readonly check: Check }) {
  const kind = old || check.state === 'not-watched' ? 'unknown' : CHECK_SIGN[check.state];
  const is = shown(check, check.measured, units);
  const wanted = wantedText(check, units);
  const quantities = CHECK_QUANTITIES[check.name] ?? [];
  const heard = oldestOf(inputs, quantities);
  // Old advice is no advice, and what the head says already need not be said again.
  const saysAdvice = !old && check.advice !== '' && (check.state === 'act' || check.advice !== headline);
  return (
    <li class={`check is-${kind}`}>
      <span class="line">
        <span class="c">
          <Sign kind={kind} />
          <span>{checkWord(check)}</span>
          <span class="aside">, {old ? 'old' : CHECK_STATE_WORD[check.state]}</span>
        </span>
        <span class="m">{old ? <s>{is}</s> : is}</span>
      </span>
      <span class="line soft-line">
        <span>{heard !== null && <Age input={heard} old={old} />}</span>
        <span class="m">{wanted !== null && `wanted ${wanted}`}</span>
      </span>
      {saysAdvice && <span class="d">{check.advice}</span>}
      {gasCheckPath !== undefined && !old && check.state !== 'pass' && (
        <a class="tell-more" href={gasCheckPath}>
          Make a gas check
        </a>
      )}
    </li>
  );
}

function shown(check: Check, value: Check['measured'], units: Units): string {
  // A margin is a difference of temperatures: the scale's offset must not be added to it.
  if (check.name === 'freezing-margin' && typeof value === 'number' && check.unit === 'Cel') {
    return temperatureDifference(value, units);
  }
  return value === null ? 'not known' : measure(value, check.unit, units);
}

/** The limits in the reader's units where they are numbers, else what the service says; null if nothing is wanted. */
export function wantedText(check: Check, units: Units): string | null {
  const { wantedLow: low, wantedHigh: high } = check;
  if (low !== null && high !== null) return rangeOf(shown(check, low, units), shown(check, high, units));
  if (low !== null) return `at least ${shown(check, low, units)}`;
  if (high !== null) return `at most ${shown(check, typeof check.wanted === 'number' ? check.wanted : high, units)}`;
  if (check.wanted === null) return null;
  return shown(check, check.wanted, units);
}

/** "2.00 to 2.50 volumes": a unit that both share is said once. */
function rangeOf(low: string, high: string): string {
  const unit = high.slice(high.indexOf('\u00a0'));
  return `${unit !== high && low.endsWith(unit) ? low.slice(0, -unit.length) : low} to ${high}`;
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

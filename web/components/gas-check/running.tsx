import type { Units } from '../../../src/contract/catalogue.ts';
import type { RunningGasCheck } from '../../../src/contract/gas-check.ts';
import { carbonationNumber, pressure } from '../../format/numbers.ts';
import { clockTime, durationWords } from '../../format/times.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { Trouble } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { Course } from './course.tsx';
import './gas-check.css';
import { FINDING_WORD, leakSentence, tightnessSentences } from './words.ts';

export interface RunningProps {
  readonly running: RunningGasCheck;
  /** The keg holds beer: otherwise only its tightness is asked. */
  readonly beer: boolean;
  readonly target: { readonly low: number; readonly high: number };
  /** Newer than the report's; null if it is not heard (kPa gauge). */
  readonly liveKpaGauge: number | null;
  readonly units: Units;
  readonly onEnd: (gas: 'open' | 'closed') => Promise<Told | null>;
}

/** While a gas check runs: what the pressure says so far, whether that is enough, and the end. */
export function Running(props: RunningProps) {
  const { running, units, target, beer, onEnd } = props;
  const entry = useEntry();
  // A check that has only begun has told nothing, whatever little a longer one may tell.
  const enough = running.enough && running.course.time.length > 1;
  const end = (gas: 'open' | 'closed'): void => void entry.send(() => onEnd(gas));
  return (
    <div class="gas-parts">
      <section class="part" aria-labelledby="h-running">
        <header>
          <h2 id="h-running">{enough ? 'Enough' : 'Leave it alone'}</h2>
          <p class="note">
            gas closed {clockTime(Date.parse(running.startedAt), serviceMinute.value, zone.value)},{' '}
            {durationWords(Math.max(0, serviceMinute.value - Date.parse(running.startedAt)))}
            {running.shaken && ', shaken'}
          </p>
        </header>
        <p class="lead">{running.says}</p>
        <Figures {...props} />
        {beer && <p>{enough ? 'Going on would tell little more.' : 'Longer tells more: not enough yet.'}</p>}
        <LeakWords {...props} />
        <div class="wet-choice">
          <button class="btn main wet" type="button" disabled={entry.busy} onClick={() => end('open')}>
            End: gas is open again
          </button>
          <button class="btn wet" type="button" disabled={entry.busy} onClick={() => end('closed')}>
            End: gas stays closed
          </button>
        </div>
        <Trouble trouble={entry.trouble} />
      </section>
      <section class="part" aria-labelledby="h-course">
        <header>
          <h2 id="h-course">So far</h2>
        </header>
        {running.course.time.length < 2 ? (
          <p class="note">The pressure is drawn here once a few minutes have passed.</p>
        ) : (
          <Course running={running} target={target} units={units} />
        )}
      </section>
    </div>
  );
}

function Figures({ running, liveKpaGauge, units }: RunningProps) {
  const { kpaGaugeBefore, kpaGaugeNow, bandBefore, bandNow } = running;
  const now = liveKpaGauge ?? kpaGaugeNow;
  const range = (band: NonNullable<typeof bandNow>): string =>
    `${carbonationNumber(band.low, units)} to ${carbonationNumber(band.high, units)}`;
  return (
    <dl class="figures">
      <div>
        <dt>Pressure now</dt>
        <dd>{now === null ? 'not heard' : pressure(now, units)}</dd>
        {kpaGaugeBefore !== null && <dd class="note">{pressure(kpaGaugeBefore, units)} when it was closed</dd>}
      </div>
      {bandNow !== null && (
        <div>
          <dt>In the beer, {units.carbonation}</dt>
          <dd>{range(bandNow)}</dd>
          {bandBefore !== null && <dd class="note">{range(bandBefore)} before</dd>}
        </div>
      )}
    </dl>
  );
}

/** Whether it leaks: for an empty keg that is the whole question. */
function LeakWords({ running: { tightness, leak }, units }: RunningProps) {
  if (tightness !== null) {
    const { finding } = tightness;
    const kind = finding === 'leaks' ? 'is-act' : finding === 'unknown' ? 'is-unknown' : 'is-ready';
    return (
      <div class={`finding ${kind}`}>
        <p class="word">{FINDING_WORD[finding]}</p>
        {tightnessSentences(tightness, units).map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
      </div>
    );
  }
  const said = leakSentence(leak);
  return said === null ? null : <p class={leak === 'likely' ? 'leaks' : ''}>{said}</p>;
}

import { clockTime, dayAndMonth, timeSpan } from '../../format/times.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { spanSentence, type Trial, type TrialEpisode, trialRows, trialSentence } from './trial-words.ts';

interface Props {
  /** As the rule is now; null if it is off. */
  readonly now: Trial | null;
  /** As it is proposed; null if it would be off. */
  readonly proposed: Trial | null;
  readonly subject: (episode: TrialEpisode) => string;
}

const SHOWN = 20;
const HOUR_MS = 3_600_000;
/** The month as the drawing counts it, in hours. */
const HOURS = 720;

/** What a rule would have told of the last 30 days, as it is and as it is proposed. */
export function TrialResult({ now, proposed, subject }: Props) {
  const rows = trialRows(now, proposed, subject);
  const any = proposed ?? now;
  const span = any === null ? '' : spanSentence(any);
  return (
    <div class="trial" role="status">
      <p>
        <b>{trialSentence(now, proposed)}</b>
      </p>
      {span !== '' && <p class="note">{span}</p>}
      {any !== null && any.note !== '' && <p class="note">{any.note}</p>}
      {any !== null && (now?.begins ?? 0) + (proposed?.begins ?? 0) > 0 && (
        <Strips now={now} proposed={proposed} toMs={Date.parse(any.to)} />
      )}
      {rows.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">Messages about</th>
              <th scope="col" class="num">
                As it is
              </th>
              <th scope="col" class="num">
                As proposed
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.subject}>
                <td>{row.subject}</td>
                <td class="num">{now === null ? 'off' : row.now}</td>
                <td class="num">{proposed === null ? 'off' : row.proposed}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {proposed !== null && proposed.episodes.length > 0 && (
        <details>
          <summary>When it would have spoken</summary>
          <Episodes trial={proposed} subject={subject} />
        </details>
      )}
    </div>
  );
}

function Strips({ now, proposed, toMs }: Omit<Props, 'subject'> & { readonly toMs: number }) {
  const fromMs = toMs - HOURS * HOUR_MS;
  return (
    <div class="strips" aria-hidden="true">
      <span>As it is</span>
      <Strip trial={now} fromMs={fromMs} toMs={toMs} />
      <span>As proposed</span>
      <Strip trial={proposed} fromMs={fromMs} toMs={toMs} />
      <span />
      <span class="ends">
        <span>{dayAndMonth(fromMs, zone.value)}</span>
        <span>today</span>
      </span>
    </div>
  );
}

/** A month as a line; a solid piece is an alert that was open. */
function Strip({
  trial,
  fromMs,
  toMs,
}: {
  readonly trial: Trial | null;
  readonly fromMs: number;
  readonly toMs: number;
}) {
  const hour = (text: string | null): number => ((text === null ? toMs : Date.parse(text)) - fromMs) / HOUR_MS;
  return (
    <svg class="bars" viewBox={`0 0 ${HOURS} 16`} preserveAspectRatio="none" aria-hidden="true">
      <path class="base" d={`M0 8H${HOURS}`} />
      {trial?.episodes.map(({ target, beganAt, endedAt }) => (
        <rect
          key={target + beganAt}
          x={Math.max(0, hour(beganAt))}
          y="2"
          width={Math.max(3, hour(endedAt) - Math.max(0, hour(beganAt)))}
          height="12"
        />
      ))}
    </svg>
  );
}

function Episodes({ trial, subject }: { readonly trial: Trial; readonly subject: Props['subject'] }) {
  const newest = trial.episodes.slice(-SHOWN).toReversed();
  const older = trial.begins - newest.length;
  const minute = serviceMinute.value;
  return (
    <ul class="rows">
      {newest.map((episode) => {
        const { target, beganAt, endedAt, message } = episode;
        const beganMs = Date.parse(beganAt);
        return (
          <li key={target + beganAt}>
            <span class="soft">
              {endedAt === null
                ? `Since ${clockTime(beganMs, minute, zone.value)}`
                : timeSpan(beganMs, Date.parse(endedAt), minute, zone.value)}
              , {subject(episode)}:
            </span>{' '}
            {message}
          </li>
        );
      })}
      {older > 0 && <li class="soft">And {older} before.</li>}
    </ul>
  );
}

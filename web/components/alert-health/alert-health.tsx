import type { AlertHealth, Episode } from '../../../src/contract/alert.ts';
import { ageWords, dayAndMonth, durationWords } from '../../format/times.ts';
import { withoutStop } from '../../format/words.ts';
import { serviceMinute } from '../../store/clock.ts';
import '../../styles/lists.css';
import { HEARTBEAT_WORD, personSentence, totalSentence } from './words.ts';

interface Props {
  readonly health: AlertHealth;
  /** What a rule is called. */
  readonly titleOf: (rule: Episode['rule']) => string;
}

/** How much the alerts say, and which of them want care. */
export function AlertHealthReport({ health, titleOf }: Props) {
  return (
    <div class="parts alert-health">
      <div>
        <section class="part" aria-labelledby="h-days">
          <header>
            <h2 id="h-days">Day by day</h2>
          </header>
          <p>{totalSentence(health.days)}</p>
          <Days days={health.days} />
        </section>
        <section class="part" aria-labelledby="h-told">
          <header>
            <h2 id="h-told">Who was told</h2>
          </header>
          {health.people.length === 0 && <p class="note">Nobody is set up to be told.</p>}
          <ul class="rows plainly">
            {health.people.map((person) => (
              <li key={person.personId}>{personSentence(person)}</li>
            ))}
          </ul>
        </section>
        <Heartbeat heartbeat={health.heartbeat} />
      </div>
      <div>
        <section class="part" aria-labelledby="h-noisy">
          <header>
            <h2 id="h-noisy">Rules that spoke most</h2>
          </header>
          {health.noisiest.length === 0 && <p class="note">None spoke.</p>}
          <ol class="rows plainly">
            {health.noisiest.map(({ rule, begins }) => (
              <li key={rule} class="count-line">
                <span>{titleOf(rule)}</span>
                <span class="nums">{begins === 1 ? 'once' : `${begins} times`}</span>
              </li>
            ))}
          </ol>
        </section>
        <Wanting heading="Come and go" why="Told as one, and over only after a quiet day." of={health.unsteady} />
        <Wanting
          heading="Open for more than a week"
          why="Mend it, or set its rule so that it fits."
          of={health.stale}
        />
        <Wanting heading="Not sure any more" why="Nothing new is heard of what they rest on." of={health.unverified} />
        <Wanting heading="Quiet for a while" why="Somebody made them so." of={health.muted} />
        <Wanting
          heading="Nobody is on it"
          why="Open for more than a day, and nobody said “I am on it”."
          of={health.neverAcknowledged}
        />
      </div>
    </div>
  );
}

const HIGH = 60;

/** A stroke a begin, up; the table says the same. */
function Days({ days }: { readonly days: AlertHealth['days'] }) {
  const most = Math.max(4, ...days.map(({ begins }) => begins));
  const at = (date: string): string => dayAndMonth(Date.parse(`${date}T12:00:00Z`), 'UTC');
  const first = days[0];
  const told = days.filter(({ begins, ends }) => begins + ends > 0);
  return (
    <>
      <svg class="days bars" viewBox={`0 0 ${days.length * 10} ${HIGH}`} preserveAspectRatio="none" aria-hidden="true">
        <path class="base" d={`M0 ${HIGH - 1}H${days.length * 10}`} />
        {days.map(({ date, begins, urgent }, index) => (
          <g key={date}>
            <rect x={index * 10 + 2} width="6" y={HIGH - 1 - part(begins)} height={part(begins)} />
            <rect class="urgent" x={index * 10 + 2} width="6" y={HIGH - 1 - part(urgent)} height={part(urgent)} />
          </g>
        ))}
      </svg>
      <p class="ends note" aria-hidden="true">
        <span>{first === undefined ? '' : at(first.date)}</span>
        <span>today</span>
      </p>
      {told.length > 0 && (
        <details>
          <summary>Show as a table</summary>
          <table>
            <thead>
              <tr>
                <th scope="col">Day</th>
                <th scope="col" class="num">
                  Began
                </th>
                <th scope="col" class="num">
                  Urgent
                </th>
                <th scope="col" class="num">
                  Ended
                </th>
              </tr>
            </thead>
            <tbody>
              {told.map(({ date, begins, urgent, ends }) => (
                <tr key={date}>
                  <td>{at(date)}</td>
                  <td class="num">{begins}</td>
                  <td class="num">{urgent}</td>
                  <td class="num">{ends}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </details>
      )}
    </>
  );

  function part(count: number): number {
    return (count / most) * (HIGH - 6);
  }
}

function Heartbeat({ heartbeat }: { readonly heartbeat: AlertHealth['heartbeat'] }) {
  const { state, everyMin, lastSentAt, trouble } = heartbeat;
  const now = serviceMinute.value;
  return (
    <section class="part" aria-labelledby="h-beat">
      <header>
        <h2 id="h-beat">Who watches Quietkeg</h2>
        {everyMin !== null && <p class="note">every {durationWords(everyMin * 60_000)}</p>}
      </header>
      <p class={state === 'failing' ? 'failing' : ''}>{HEARTBEAT_WORD[state]}</p>
      {trouble !== null && <p>What is wrong: {trouble}.</p>}
      {lastSentAt !== null && <p class="note">Last taken {ageWords(now - Date.parse(lastSentAt))}.</p>}
    </section>
  );
}

/** Open alerts that want care; nothing where there are none. */
function Wanting({
  heading,
  why,
  of,
}: {
  readonly heading: string;
  readonly why: string;
  readonly of: readonly Episode[];
}) {
  const id = `h-${heading.toLowerCase().replaceAll(' ', '-')}`;
  if (of.length === 0) return null;
  return (
    <section class="part" aria-labelledby={id}>
      <header>
        <h2 id={id}>{heading}</h2>
        <p class="note">{of.length}</p>
      </header>
      <p class="note">{why}</p>
      <ul class="rows plainly">
        {of.map((episode) => (
          <li key={episode.id}>
            {withoutStop(episode.message)}{' '}
            <span class="soft">
              for {durationWords(serviceMinute.value - Date.parse(episode.beganAt))}
              {episode.mutedBecause !== null && `; quiet because: ${episode.mutedBecause}`}
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

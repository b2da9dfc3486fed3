import { useState } from 'preact/hooks';
import type { Episode } from '../../../src/contract/alert.ts';
import { clockTime, durationWords } from '../../format/times.ts';
import { episodeSign, withoutStop } from '../../format/words.ts';
import type { Mute } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { serviceMinute } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import { pathOfKeg } from '../../store/routes.ts';
import { Trouble } from '../form/trouble.tsx';
import { useTrouble } from '../form/use-trouble.ts';
import { Sign } from '../sign/sign.tsx';
import './alert-row.css';
import { MuteForm } from './mute-form.tsx';

interface Props {
  readonly episode: Episode;
  readonly onAcknowledge: (episode: Episode) => Promise<Told | null>;
  readonly onMute: (episode: Episode, entry: Mute) => Promise<Told | null>;
  readonly onUnmute: (episode: Episode) => Promise<Told | null>;
  /** On the page of its keg a link to that keg leads nowhere. */
  readonly ofKeg?: boolean;
}

/** One occurrence of an alert: what to do, since when, and who has taken it. */
export function AlertRow({ episode, onAcknowledge, onMute, onUnmute, ofKeg = false }: Props) {
  const [muting, setMuting] = useState(false);
  const [trouble, setTrouble] = useTrouble();
  const kind = episodeSign(episode);
  const over = episode.state === 'ended';
  const muted = isMuted(episode, serviceMinute.value);
  const act = (change: Promise<Told | null>): void => void change.then(setTrouble);
  return (
    <li class={`alert is-${kind}${over ? ' over' : ''}`}>
      <Sign kind={kind} over={over} />
      <div class="what">
        <b>{withoutStop(episode.message)}</b>
        {!over && episode.advice !== '' && <p>{episode.advice}</p>}
        <p class="note">
          {historyOf(episode)}
          {episode.kegId !== null && !ofKeg && (
            <>
              {' '}
              <a href={pathOfKeg(episode.kegId)}>See the keg</a>
            </>
          )}
        </p>
        <Trouble trouble={trouble} />
      </div>
      {!over && (
        <div class="do-it">
          {episode.acknowledgedAt === null && (
            <button
              class={episode.level === 'news' ? 'btn' : 'btn main'}
              type="button"
              onClick={() => act(onAcknowledge(episode))}
            >
              {episode.level === 'news' ? 'Seen' : 'I am on it'}
              <span class="aside">: {episode.message}</span>
            </button>
          )}
          {muted ? (
            <button class="btn" type="button" onClick={() => act(onUnmute(episode))}>
              Speak again<span class="aside">: {episode.message}</span>
            </button>
          ) : (
            <button class="btn" type="button" aria-expanded={muting} onClick={() => setMuting(!muting)}>
              Quiet for a while<span class="aside">: {episode.message}</span>
            </button>
          )}
        </div>
      )}
      {muting && !over && (
        <MuteForm
          message={episode.message}
          urgent={episode.level === 'urgent'}
          onMute={(entry) => onMute(episode, entry)}
          onClose={() => setMuting(false)}
        />
      )}
    </li>
  );
}

const isMuted = (episode: Episode, nowMs: number): boolean =>
  episode.mutedUntil !== null && Date.parse(episode.mutedUntil) > nowMs;

const quietWords = (until: string, because: string | null): string =>
  because === null ? `Quiet until ${until}.` : `Quiet until ${until}, because: ${withoutStop(because)}.`;

function historyOf(episode: Episode): string {
  const now = serviceMinute.value;
  const at = (time: string): string => clockTime(Date.parse(time), now, zone.value);
  if (episode.endedAt !== null) {
    const lasted = durationWords(Date.parse(episode.endedAt) - Date.parse(episode.beganAt));
    return `${at(episode.beganAt)} to ${at(episode.endedAt)}, ${lasted}.`;
  }
  const parts = [`Began ${at(episode.beganAt)}.`];
  if (episode.state === 'clearing') parts.push('It seems to be over; a little patience makes sure.');
  if (episode.unverified)
    parts.push('Not sure any more: nothing new is heard of what it rests on, so it may have changed.');
  if (episode.unsteady) parts.push('It comes and goes, so it is told once and counts as over only after a quiet day.');
  if (episode.acknowledgedAt !== null)
    parts.push(
      episode.level === 'news'
        ? `Seen at ${at(episode.acknowledgedAt)}.`
        : `Somebody is on it since ${at(episode.acknowledgedAt)}.`,
    );
  if (isMuted(episode, now) && episode.mutedUntil !== null)
    parts.push(quietWords(at(episode.mutedUntil), episode.mutedBecause));
  return parts.join(' ');
}

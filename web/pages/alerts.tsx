import { useEffect } from 'preact/hooks';
import type { Episode } from '../../src/contract/alert.ts';
import { AlertRow } from '../components/alert-row/alert-row.tsx';
import { Sign } from '../components/sign/sign.tsx';
import { ALERT_PAGES } from '../components/sub-pages/of-alerts.ts';
import { SubPages } from '../components/sub-pages/sub-pages.tsx';
import { acknowledge, type Mute, mute, unmute } from '../store/actions.ts';
import type { Trouble } from '../store/api.ts';
import { followEvery } from '../store/clock.ts';
import { view } from '../store/dashboard.ts';
import { isOpen, mergeEpisodes } from '../store/episodes.ts';
import { resource } from '../store/resource.ts';
import '../styles/lists.css';

const read = resource<{ alerts: Episode[] }>('/alerts');
const EVERY_MS = 60_000;

/** What is open and what is over. */
export function AlertsPage() {
  useEffect(() => followEvery(EVERY_MS, () => void read.load()), []);
  const all = mergeEpisodes(view.value.alerts, read.value.value?.alerts ?? []);
  const open = all.filter(isOpen);
  const over = all.filter((episode) => episode.state === 'ended');
  const actions = {
    onAcknowledge: (episode: Episode) => then(acknowledge(episode)),
    onMute: (episode: Episode, entry: Mute) => then(mute(episode, entry)),
    onUnmute: (episode: Episode) => then(unmute(episode)),
  };
  return (
    <div class="sheet lists">
      <h1>Alerts</h1>
      <SubPages label="About alerts" here="/alerts" pages={ALERT_PAGES} />
      <div class="parts">
        <section class="part" aria-labelledby="h-open">
          <header>
            <h2 id="h-open">Open</h2>
            <p class="note">{open.length === 0 ? '' : open.length}</p>
          </header>
          {open.length === 0 ? (
            <Nobody />
          ) : (
            <ul class="rows">
              {open.map((episode) => (
                <AlertRow key={episode.id} episode={episode} {...actions} />
              ))}
            </ul>
          )}
          <p class="note why">
            One cause, one message: what has the same cause within a short time is told by the first of them, and over
            when the last of them is. Nothing heard is no good news: then an alert stays, and says that it is not sure.
          </p>
        </section>
        <section class="part" aria-labelledby="h-over">
          <header>
            <h2 id="h-over">Over</h2>
          </header>
          {over.length === 0 ? (
            <p class="note">{read.trouble.value?.detail ?? 'Nothing yet.'}</p>
          ) : (
            <ul class="rows">
              {over.map((episode) => (
                <AlertRow key={episode.id} episode={episode} {...actions} />
              ))}
            </ul>
          )}
        </section>
      </div>
    </div>
  );
}

function Nobody() {
  return (
    <div class="nobody is-ready">
      <Sign kind="ready" />
      <p>
        <b>Nobody is needed</b>
        <span class="soft">If something happens, it stands here.</span>
      </p>
    </div>
  );
}

async function then(change: Promise<Trouble | null>): Promise<Trouble | null> {
  const trouble = await change;
  await read.load();
  return trouble;
}

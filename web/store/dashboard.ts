import { computed, effect, signal } from '@preact/signals';
import type { Place, Site, Supply } from '../../src/contract/catalogue.ts';
import { DEFAULT_UNITS } from '../format/numbers.ts';
import { access, loadAccess } from './access.ts';
import { clockAheadMs, deviceNow, deviceNowMs, later, startClock } from './clock.ts';
import { LiveConnection, type Socket } from './live.ts';
import { keepSite, keepView, recallSite, recallView } from './memory.ts';
import { resource } from './resource.ts';
import { emptyView, hearing } from './view.ts';

/** The dashboard's signals, and the one place that starts what feeds them. */
export const view = signal(emptyView(deviceNowMs()));
export const site = signal<Site | null>(null);
export const placesResource = resource<{ places: Place[] }>('/places');
export const suppliesResource = resource<{ supplies: Supply[] }>('/supplies');
const siteResource = resource<Site>('/site');

export const units = computed(() => site.value?.units ?? DEFAULT_UNITS);
/** Until the site is known the device's own zone is the likeliest. */
export const zone = computed(() => site.value?.timeZone ?? Intl.DateTimeFormat().resolvedOptions().timeZone);
export const places = computed(() => placesResource.value.value?.places ?? []);
export const supplies = computed(() => suppliesResource.value.value?.supplies ?? []);
export const heard = computed(() => hearing(view.value, deviceNow.value));
/** Set when the service keeps speaking another protocol after one reload. */
export const otherVersion = signal(false);
/** How often the live connection came up: trouble of a time when nobody answered ends with the next. */
export const connections = signal(0);

const RELOADED_KEY = 'quietkeg-reloaded';

export const loadSite = (): Promise<void> => siteResource.load();

/** Replaces the site after a change that the service took. */
export function showSite(next: Site): void {
  site.value = next;
  keepSite(next);
}

export function startDashboard(): void {
  const remembered = recallView();
  site.value = recallSite();
  const connection = new LiveConnection(view.peek(), {
    open: openSocket,
    later,
    nowMs: deviceNowMs,
    show: (next) => {
      if (next.connection === 'live' && view.peek().connection !== 'live') connections.value += 1;
      view.value = next;
      clockAheadMs.value = next.clockAheadMs;
    },
    reload: reloadOnce,
  });
  if (remembered !== null) connection.remember({ type: 'remembered', memory: remembered });
  connection.start();
  void loadAccess();
  const again = (): void => {
    deviceNow.value = deviceNowMs();
    connection.distrust();
    void loadCatalogue();
    void loadAccess();
  };
  startClock(again);
  document.addEventListener('visibilitychange', () => document.hidden || again());
  addEventListener('online', again);
  addEventListener('pageshow', (event) => event.persisted && again());
  effect(() => {
    if (siteResource.value.value !== null) showSite(siteResource.value.value);
  });
  keepViewNowAndThen();
  void loadCatalogue();
}

async function loadCatalogue(): Promise<void> {
  await Promise.all([loadSite(), placesResource.load(), suppliesResource.load()]);
}

/** Writing every frame would wear a tablet's flash for nothing: every ten seconds is often enough to read. */
function keepViewNowAndThen(): void {
  let keptAtMs = 0;
  effect(() => {
    const next = view.value;
    if (next.connection !== 'live' || access.value?.you === null) return;
    sessionRemove();
    if (deviceNowMs() - keptAtMs < 10_000) return;
    keptAtMs = deviceNowMs();
    keepView(next);
  });
  addEventListener('pagehide', () => access.peek()?.you === null || keepView(view.peek()));
}

function openSocket(): Socket {
  const scheme = location.protocol === 'https:' ? 'wss:' : 'ws:';
  const socket = new WebSocket(`${scheme}//${location.host}/api/v1/live`);
  const wrapped: Socket = {
    onmessage: null,
    onclose: null,
    send: (text) => socket.send(text),
    close: () => socket.close(),
  };
  socket.onmessage = (event) => wrapped.onmessage?.(event);
  socket.onclose = () => {
    // It may be the door: whoever was put out gets no socket.
    void loadAccess();
    wrapped.onclose?.();
  };
  return wrapped;
}

/** A newer service needs a newer page; one reload fetches it, more would be a loop. */
function reloadOnce(): void {
  try {
    if (sessionStorage.getItem(RELOADED_KEY) === null) {
      sessionStorage.setItem(RELOADED_KEY, 'yes');
      location.reload();
      return;
    }
  } catch {
    // Without storage we cannot know whether we reloaded already: leave it to the reader.
  }
  otherVersion.value = true;
}

function sessionRemove(): void {
  try {
    sessionStorage.removeItem(RELOADED_KEY);
  } catch {
    // Nothing was kept, so nothing needs removing.
  }
}

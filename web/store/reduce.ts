import type { Episode } from '../../src/contract/alert.ts';
import type { LiveFrame } from '../../src/contract/live.ts';
import type { KegState } from '../../src/contract/state.ts';
import type { View } from './view.ts';

/** The frames this page was built for (as `LIVE_PROTOCOL`, which is a value and so stays on the server's side). */
export const PAGE_PROTOCOL: Extract<LiveFrame, { type: 'hello' }>['protocol'] = 1;

/** Ended alerts kept in memory; the page of alerts asks the service for older ones. */
const ENDED_KEPT = 50;

export interface Memory {
  readonly kegs: readonly KegState[];
  readonly alerts: readonly Episode[];
  readonly heardAtMs: number;
  readonly clockAheadMs: number;
}

export type ViewInput =
  | { readonly type: 'frame'; readonly frame: LiveFrame; readonly receivedAtMs: number }
  | { readonly type: 'disconnected' }
  | { readonly type: 'remembered'; readonly memory: Memory };

/** The next view. Pure: times come in with the input, and what the connection must do goes out as `want`. */
export function reduce(view: View, input: ViewInput): View {
  switch (input.type) {
    case 'disconnected':
      return { ...view, connection: 'connecting', revision: null, want: 'nothing' };
    case 'remembered':
      return view.known ? view : { ...view, ...input.memory, known: true };
    case 'frame':
      return reduceFrame({ ...view, want: 'nothing' }, input.frame, input.receivedAtMs);
  }
}

function reduceFrame(before: View, frame: LiveFrame, receivedAtMs: number): View {
  // Greetings alone do not make remembered values young again: only what follows a snapshot does.
  const view = before.revision === null ? before : { ...before, heardAtMs: receivedAtMs };
  switch (frame.type) {
    case 'hello': {
      // A service of another version sends other numbers than the type of this one allows.
      const protocol: number = frame.protocol;
      return protocol === PAGE_PROTOCOL ? view : { ...view, want: 'reload' };
    }
    case 'snapshot':
      return {
        ...view,
        connection: 'live',
        known: true,
        heardAtMs: receivedAtMs,
        revision: frame.revision,
        kegs: frame.kegs,
        alerts: frame.alerts,
        clockAheadMs: clockAhead(frame.at, receivedAtMs, view.clockAheadMs),
      };
    case 'beat':
      return follow({ ...view, clockAheadMs: clockAhead(frame.at, receivedAtMs, view.clockAheadMs) }, frame, false);
    case 'keg':
      return follow({ ...view, kegs: withKeg(view.kegs, frame.state) }, frame, true, view);
    case 'keg-gone':
      return follow({ ...view, kegs: view.kegs.filter((keg) => keg.kegId !== frame.kegId) }, frame, true, view);
    case 'alert':
      return follow({ ...view, alerts: withEpisode(view.alerts, frame.episode) }, frame, true, view);
    case 'problem':
      return view;
    default:
      // A newer service may say more than this page understands.
      return view;
  }
}

/** Takes a change if it is the next one; on a gap keeps what was known and asks for everything. */
function follow(next: View, frame: { readonly revision: number }, advances: boolean, before: View = next): View {
  if (before.revision === null) return before;
  const expected = advances ? before.revision + 1 : before.revision;
  if (frame.revision === expected) return { ...next, revision: frame.revision };
  if (frame.revision < expected) return before;
  return { ...before, want: 'snapshot' };
}

function withKeg(kegs: readonly KegState[], state: KegState): readonly KegState[] {
  const known = kegs.some((keg) => keg.kegId === state.kegId);
  return known ? kegs.map((keg) => (keg.kegId === state.kegId ? state : keg)) : [...kegs, state];
}

function withEpisode(alerts: readonly Episode[], episode: Episode): readonly Episode[] {
  const others = alerts.filter((alert) => alert.id !== episode.id);
  const ended = others.filter((alert) => alert.state === 'ended');
  const surplus = new Set(ended.slice(0, Math.max(0, ended.length - ENDED_KEPT + 1)));
  return [...others.filter((alert) => !surplus.has(alert)), episode];
}

function clockAhead(at: string, receivedAtMs: number, before: number): number {
  const atMs = Date.parse(at);
  return Number.isNaN(atMs) ? before : atMs - receivedAtMs;
}

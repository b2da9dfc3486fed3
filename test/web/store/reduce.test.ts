import { expect, test } from 'vitest';
import type { LiveFrame } from '../../../src/contract/live.ts';
import { ACT_KEG, READY_KEG, SAMPLE_ALERT, SILENT_ALERT } from '../../../web/components/sample-states.ts';
import { reduce } from '../../../web/store/reduce.ts';
import { emptyView, GRACE_MS, hearing, type View } from '../../../web/store/view.ts';

/** Frames in, view out: no browser, no clock. */
const START_MS = 1_000_000;
const AT = '2026-03-01T12:00:00.000Z';

const receive = (view: View, frame: LiveFrame, receivedAtMs = START_MS): View =>
  reduce(view, { type: 'frame', frame, receivedAtMs });

const live = (): View =>
  receive(emptyView(START_MS), { type: 'snapshot', revision: 7, at: AT, kegs: [READY_KEG], alerts: [SAMPLE_ALERT] });

test('a snapshot makes the view live and replaces everything', () => {
  const view = live();
  expect(view.connection).toBe('live');
  expect(view.kegs).toEqual([READY_KEG]);
  const next = receive(view, { type: 'snapshot', revision: 2, at: AT, kegs: [ACT_KEG], alerts: [] });
  expect(next.kegs).toEqual([ACT_KEG]);
  expect(next.revision).toBe(2);
});

test('the next revision changes one keg and leaves the others', () => {
  const changed = { ...READY_KEG, name: 'Other name' };
  const view = receive(receive(live(), { type: 'keg', revision: 8, state: ACT_KEG }), {
    type: 'keg',
    revision: 9,
    state: changed,
  });
  expect(view.kegs).toEqual([changed, ACT_KEG]);
  expect(view.revision).toBe(9);
});

test('a gap in revisions keeps what was known and asks for a snapshot', () => {
  const view = receive(live(), { type: 'keg', revision: 9, state: ACT_KEG });
  expect(view.want).toBe('snapshot');
  expect(view.kegs).toEqual([READY_KEG]);
  const healed = receive(view, { type: 'snapshot', revision: 12, at: AT, kegs: [ACT_KEG], alerts: [] });
  expect(healed.want).toBe('nothing');
  expect(healed.kegs).toEqual([ACT_KEG]);
});

test('a beat that names a later revision than ours also asks', () => {
  expect(receive(live(), { type: 'beat', revision: 7, at: AT }).want).toBe('nothing');
  expect(receive(live(), { type: 'beat', revision: 8, at: AT }).want).toBe('snapshot');
});

test('a frame that is older than what we have changes nothing', () => {
  const view = receive(live(), { type: 'keg', revision: 7, state: ACT_KEG });
  expect(view.kegs).toEqual([READY_KEG]);
  expect(view.want).toBe('nothing');
});

test('changes before the first snapshot of a connection are not believed', () => {
  const again = reduce(live(), { type: 'disconnected' });
  const view = receive(again, { type: 'keg', revision: 8, state: ACT_KEG });
  expect(view.kegs).toEqual([READY_KEG]);
  expect(view.connection).toBe('connecting');
});

test('a keg that is gone goes', () => {
  expect(receive(live(), { type: 'keg-gone', revision: 8, kegId: READY_KEG.kegId }).kegs).toEqual([]);
});

test('an episode replaces its earlier self', () => {
  const over = { ...SAMPLE_ALERT, state: 'ended' as const };
  const view = receive(receive(live(), { type: 'alert', revision: 8, episode: SILENT_ALERT }), {
    type: 'alert',
    revision: 9,
    episode: over,
  });
  expect(view.alerts).toEqual([SILENT_ALERT, over]);
});

test('a service of another protocol asks for a reload', () => {
  const hello: LiveFrame = JSON.parse('{"type":"hello","protocol":2}');
  expect(receive(emptyView(START_MS), hello).want).toBe('reload');
  expect(receive(emptyView(START_MS), { type: 'hello', protocol: 1 }).want).toBe('nothing');
});

test('frames of a kind that is not known yet are passed over', () => {
  const strange: LiveFrame = JSON.parse('{"type":"weather","revision":8}');
  expect(receive(live(), strange).kegs).toEqual([READY_KEG]);
});

test('the clocks of service and device are compared by snapshots and beats', () => {
  const receivedAtMs = Date.parse(AT) - 90_000;
  expect(receive(live(), { type: 'beat', revision: 7, at: AT }, receivedAtMs).clockAheadMs).toBe(90_000);
});

test('what was remembered shows until the service speaks, and never after', () => {
  const memory = { kegs: [ACT_KEG], alerts: [], heardAtMs: START_MS - 60_000, clockAheadMs: 5 };
  const view = reduce(emptyView(START_MS), { type: 'remembered', memory });
  expect(view.kegs).toEqual([ACT_KEG]);
  expect(view.connection).toBe('connecting');
  expect(reduce(live(), { type: 'remembered', memory }).kegs).toEqual([READY_KEG]);
});

test('a greeting does not make remembered values young again', () => {
  const memory = { kegs: [ACT_KEG], alerts: [], heardAtMs: 5, clockAheadMs: 0 };
  const remembered = reduce(emptyView(START_MS), { type: 'remembered', memory });
  expect(receive(remembered, { type: 'hello', protocol: 1 }).heardAtMs).toBe(5);
  expect(receive(live(), { type: 'beat', revision: 7, at: AT }, START_MS + 9).heardAtMs).toBe(START_MS + 9);
});

test('a lost connection is said after the grace, not at once', () => {
  const lost = reduce(live(), { type: 'disconnected' });
  expect(hearing(lost, START_MS + GRACE_MS - 1).kind).toBe('fine');
  expect(hearing(lost, START_MS + GRACE_MS + 1)).toEqual({ kind: 'old', sinceMs: START_MS, said: true });
  expect(hearing(live(), START_MS + 3_600_000).kind).toBe('fine');
});

test('an old memory is not believed even while connecting, a young one is', () => {
  const remember = (heardAtMs: number): View =>
    reduce(emptyView(START_MS), {
      type: 'remembered',
      memory: { kegs: [READY_KEG], alerts: [], heardAtMs, clockAheadMs: 0 },
    });
  expect(hearing(remember(START_MS - 10_000), START_MS + 100).kind).toBe('fine');
  expect(hearing(remember(START_MS - 600_000), START_MS + 100)).toEqual({
    kind: 'old',
    sinceMs: START_MS - 600_000,
    said: false,
  });
});

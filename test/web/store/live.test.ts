import { beforeEach, describe, expect, test } from 'vitest';
import { READY_KEG } from '../../../web/components/sample-states.ts';
import { LiveConnection, SILENCE_MS, type Socket } from '../../../web/store/live.ts';
import { emptyView, type View } from '../../../web/store/view.ts';

/** The connection with sockets and timers of paper: time moves when the test says so. */
class Paper {
  nowMs = 0;
  sockets: (Socket & { sent: string[]; closed: boolean })[] = [];
  shown: View[] = [];
  reloads = 0;
  private timers: { atMs: number; run: () => void }[] = [];

  readonly connection = new LiveConnection(emptyView(0), {
    open: () => {
      const socket = {
        sent: [] as string[],
        closed: false,
        onmessage: null,
        onclose: null,
        send: (text: string) => void socket.sent.push(text),
        close: () => {
          socket.closed = true;
        },
      };
      this.sockets.push(socket);
      return socket;
    },
    later: (delayMs, run) => {
      const timer = { atMs: this.nowMs + delayMs, run };
      this.timers.push(timer);
      return () => {
        this.timers = this.timers.filter((one) => one !== timer);
      };
    },
    nowMs: () => this.nowMs,
    show: (view) => this.shown.push(view),
    reload: () => {
      this.reloads += 1;
    },
  });

  get last() {
    const socket = this.sockets.at(-1);
    if (socket === undefined) throw new Error('no socket was opened');
    return socket;
  }

  say(frame: unknown): void {
    this.last.onmessage?.({ data: JSON.stringify(frame) });
  }

  pass(ms: number): void {
    this.nowMs += ms;
    const due = this.timers.filter((timer) => timer.atMs <= this.nowMs);
    this.timers = this.timers.filter((timer) => timer.atMs > this.nowMs);
    for (const timer of due) timer.run();
  }
}

const SNAPSHOT = { type: 'snapshot', revision: 1, at: '2026-03-01T12:00:00.000Z', kegs: [READY_KEG], alerts: [] };

describe('the live connection', () => {
  let paper: Paper;
  beforeEach(() => {
    paper = new Paper();
    paper.connection.start();
  });

  test('shows a snapshot', () => {
    paper.say(SNAPSHOT);
    expect(paper.shown.at(-1)?.connection).toBe('live');
  });

  test('asks for a snapshot when a revision is missing', () => {
    paper.say(SNAPSHOT);
    paper.say({ type: 'beat', revision: 4, at: SNAPSHOT.at });
    expect(paper.last.sent).toEqual(['{"type":"snapshot"}']);
  });

  test('tries again after a close, each time a little later, at most every 10 s', () => {
    const waits = [500, 1000, 2000, 4000, 8000, 10_000, 10_000];
    for (const [index, wait] of waits.entries()) {
      paper.last.onclose?.();
      paper.pass(wait - 1);
      expect(paper.sockets).toHaveLength(index + 1);
      paper.pass(1);
      expect(paper.sockets).toHaveLength(index + 2);
    }
  });

  test('begins the waits anew once it was heard', () => {
    for (let count = 0; count < 5; count += 1) {
      paper.last.onclose?.();
      paper.pass(10_000);
    }
    paper.say(SNAPSHOT);
    paper.last.onclose?.();
    const before = paper.sockets.length;
    paper.pass(500);
    expect(paper.sockets).toHaveLength(before + 1);
  });

  test('a socket that says nothing is dead even if it is open', () => {
    paper.say(SNAPSHOT);
    const silent = paper.last;
    paper.pass(SILENCE_MS);
    expect(silent.closed).toBe(true);
    expect(paper.shown.at(-1)?.connection).toBe('connecting');
    paper.pass(500);
    expect(paper.sockets).toHaveLength(2);
  });

  test('beats keep it alive', () => {
    paper.say(SNAPSHOT);
    for (let beat = 0; beat < 10; beat += 1) {
      paper.pass(SILENCE_MS - 1000);
      paper.say({ type: 'beat', revision: 1, at: SNAPSHOT.at });
    }
    expect(paper.sockets).toHaveLength(1);
  });

  test('after sleep it starts over at once, and the old socket is not listened to', () => {
    paper.say(SNAPSHOT);
    const old = paper.last;
    paper.connection.distrust();
    expect(old.closed).toBe(true);
    expect(old.onmessage).toBeNull();
    expect(paper.sockets).toHaveLength(2);
    expect(paper.shown.at(-1)?.kegs).toEqual([READY_KEG]);
  });

  test('passes over what is no JSON object', () => {
    for (const data of ['', 'hello', 'null', '3', new ArrayBuffer(4)]) paper.last.onmessage?.({ data });
    expect(paper.shown).toEqual([]);
  });

  test('another protocol asks for a reload', () => {
    paper.say({ type: 'hello', protocol: 99 });
    expect(paper.reloads).toBe(1);
  });

  test('stops for good', () => {
    paper.connection.stop();
    paper.pass(60_000);
    expect(paper.sockets).toHaveLength(1);
    expect(paper.last.closed).toBe(true);
  });
});

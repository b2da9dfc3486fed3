import type { LiveFrame, LiveRequest } from '../../src/contract/live.ts';
import { reduce, type ViewInput } from './reduce.ts';
import type { View } from './view.ts';

/** What a connection needs from the browser, so that a test can stand in for it. */
export interface LiveParts {
  /** Opens a socket; must not throw. */
  open(): Socket;
  later(delayMs: number, run: () => void): () => void;
  nowMs(): number;
  /** Called with every new view. */
  show(view: View): void;
  /** Asked when the service speaks another protocol than this page. */
  reload(): void;
}

export interface Socket {
  onmessage: ((event: { readonly data: unknown }) => void) | null;
  onclose: (() => void) | null;
  send(text: string): void;
  close(): void;
}

/** The service beats about every 10 s: a socket silent for longer is dead, whatever it says of itself. */
export const SILENCE_MS = 25_000;
const RETRY_FIRST_MS = 500;
const RETRY_MOST_MS = 10_000;

/** The WebSocket's life: connect, follow, distrust, connect again. All decisions about frames are in `reduce`. */
export class LiveConnection {
  private view: View;
  private readonly parts: LiveParts;
  private socket: Socket | null = null;
  private cancelTimer: () => void = () => {};
  private failures = 0;

  constructor(view: View, parts: LiveParts) {
    this.view = view;
    this.parts = parts;
  }

  start(): void {
    this.connect();
  }

  stop(): void {
    this.drop();
    this.cancelTimer();
  }

  /** After sleep, a network change or a clock jump an open socket proves nothing: start over at once. */
  distrust(): void {
    this.failures = 0;
    this.apply({ type: 'disconnected' });
    this.connect();
  }

  /** Shows what was known at the last visit until the service speaks. */
  remember(input: Extract<ViewInput, { type: 'remembered' }>): void {
    this.apply(input);
  }

  private connect(): void {
    this.drop();
    const socket = this.parts.open();
    this.socket = socket;
    socket.onmessage = (event) => this.receive(event.data);
    socket.onclose = () => this.retry();
    this.watchSilence();
  }

  private receive(data: unknown): void {
    const frame = parseFrame(data);
    if (frame === null) return;
    this.watchSilence();
    this.apply({ type: 'frame', frame, receivedAtMs: this.parts.nowMs() });
    if (frame.type === 'snapshot') this.failures = 0;
    if (this.view.want === 'snapshot') this.ask({ type: 'snapshot' });
    if (this.view.want === 'reload') this.parts.reload();
  }

  private retry(): void {
    this.drop();
    this.apply({ type: 'disconnected' });
    const delayMs = Math.min(RETRY_MOST_MS, RETRY_FIRST_MS * 2 ** Math.min(this.failures, 10));
    this.failures += 1;
    this.cancelTimer();
    this.cancelTimer = this.parts.later(delayMs, () => this.connect());
  }

  private watchSilence(): void {
    this.cancelTimer();
    this.cancelTimer = this.parts.later(SILENCE_MS, () => this.retry());
  }

  private ask(request: LiveRequest): void {
    this.socket?.send(JSON.stringify(request));
  }

  /** Lets go of the socket first, so that its late events reach nobody. */
  private drop(): void {
    const socket = this.socket;
    this.socket = null;
    if (socket === null) return;
    socket.onmessage = null;
    socket.onclose = null;
    socket.close();
  }

  private apply(input: ViewInput): void {
    this.view = reduce(this.view, input);
    this.parts.show(this.view);
  }
}

/** Frames are trusted to be of our protocol: only their shape as JSON objects is checked. */
function parseFrame(data: unknown): LiveFrame | null {
  if (typeof data !== 'string') return null;
  try {
    const parsed: LiveFrame | null = JSON.parse(data);
    return typeof parsed === 'object' && parsed !== null ? parsed : null;
  } catch {
    return null;
  }
}

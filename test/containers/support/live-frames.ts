/** A frame of the live connection, as far as a test looks at it. */
export interface Frame {
  readonly type: string;
  readonly [member: string]: unknown;
}

/** Frames of a WebSocket in order of arrival; each is handed out or passed over once. */
export class LiveFrames {
  readonly #socket: WebSocket;
  readonly #waiting: Frame[] = [];
  #arrived = () => {};
  #failure: Error | null = null;

  constructor(url: string) {
    this.#socket = new WebSocket(url);
    this.#socket.addEventListener('message', (event) => {
      this.#waiting.push(JSON.parse(String(event.data)));
      this.#arrived();
    });
    this.#socket.addEventListener('close', (event) => {
      this.#failure = new Error(`The live connection closed with ${event.code} ${event.reason}`);
      this.#arrived();
    });
  }

  /** The next frame that fits; the test's own time limit bounds the wait. */
  async next(fits: (frame: Frame) => boolean): Promise<Frame> {
    for (;;) {
      const frame = this.#waiting.shift();
      if (frame && fits(frame)) return frame;
      if (frame) continue;
      if (this.#failure) throw this.#failure;
      await new Promise<void>((done) => {
        this.#arrived = done;
      });
    }
  }

  close(): void {
    this.#socket.close();
  }
}

import type { PlainIo } from './command.ts';

/** Says on a terminal how far a long piece of work is, a whole percent at a time. */
export class Progress {
  readonly #io: Pick<PlainIo, 'err' | 'errIsTerminal'>;
  readonly #what: string;
  readonly #whole: number;
  #done = 0;
  #shown = -1;

  /** @param whole how much there is to do, in whatever `add` counts */
  constructor(io: Pick<PlainIo, 'err' | 'errIsTerminal'>, whole: number, what = 'read') {
    this.#io = io;
    this.#whole = whole;
    this.#what = what;
  }

  readonly add = (amount: number): void => this.at(this.#done + amount);

  readonly at = (done: number): void => {
    this.#done = done;
    const percent = Math.min(100, Math.floor((100 * done) / Math.max(1, this.#whole)));
    if (this.#io.errIsTerminal !== true || percent === this.#shown) return;
    this.#shown = percent;
    this.#io.err(`\r${this.#what} ${percent} %`);
  };

  /** Leaves the line empty for what comes next. */
  end(): void {
    if (this.#shown >= 0) this.#io.err('\r\u001b[K');
    this.#shown = -1;
  }
}

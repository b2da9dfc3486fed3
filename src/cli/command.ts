/** Text in and text out: all that most commands touch of the outside. */
export interface PlainIo {
  readonly stdin: AsyncIterable<string | Uint8Array>;
  out(text: string): void;
  err(text: string): void;
  /** Somebody watches what `err` writes, so progress is worth showing. */
  readonly errIsTerminal?: boolean;
}

/** What a command may touch of the outside. */
export interface CommandIo extends PlainIo {
  readonly environment: Readonly<Record<string, string | undefined>>;
  readonly version: string;
  /** Asks a person and hides what is typed; undefined where nobody sits at a terminal. Null: they gave up. */
  readonly askHidden?: (question: string) => Promise<string | null>;
  /** Resolves when the process is asked to stop. */
  readonly stopAsked: Promise<void>;
  /** Calls back whenever the process is asked to read its settings again. Without it such a signal ends the process. */
  readonly onReload?: (read: () => void) => void;
}

export interface Command {
  readonly name: string;
  readonly summary: string;
  /** Resolves to the exit code: 0 done, 1 failed, 2 misused, 78 bad configuration. */
  run(args: readonly string[], io: CommandIo): Promise<number>;
}

export const EXIT = { done: 0, failed: 1, usage: 2, config: 78 } as const;

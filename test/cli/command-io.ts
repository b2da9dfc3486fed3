import type { PlainIo } from '../../src/cli/command.ts';

export interface RecordedIo extends PlainIo {
  readonly written: { out: string; err: string; outCalls: number };
}

/** Standard streams for a test: input from chunks, output kept. */
export function recordedIo(chunks: readonly (string | Uint8Array)[] = []): RecordedIo {
  const written = { out: '', err: '', outCalls: 0 };
  return {
    written,
    stdin: (async function* () {
      yield* chunks;
    })(),
    out(text) {
      written.out += text;
      written.outCalls += 1;
    },
    err(text) {
      written.err += text;
    },
  };
}

import { createReadStream } from 'node:fs';

/** A line of a file that cannot be used; the message names file and line. */
export class LineError extends Error {
  override readonly name = 'LineError';

  constructor(file: string, line: number, reason: string) {
    super(`${file}:${line}: ${reason}`);
  }
}

export interface JsonLine {
  /** Counted from 1. */
  readonly line: number;
  readonly value: unknown;
}

/** No line of ours is nearly as long, but for one that holds a whole plan (characters). */
const LINE_MAX = 64 * 1024;
/** Characters of a broken line that the message shows. */
const SHOWN = 60;

export interface TextLine {
  /** Counted from 1. */
  readonly line: number;
  readonly text: string;
}

/**
 * Reads lines of text, a chunk at a time, so that a file of any size takes the same memory; the mark of UTF-8 at the
 * beginning is left out. Throws `LineError` at a line that is far too long.
 */
export async function* textLines(
  path: string,
  file: string,
  onBytes: (bytes: number) => void,
  longest = LINE_MAX,
): AsyncGenerator<TextLine[]> {
  let rest = '';
  let line = 0;
  const chunks: AsyncIterable<string> = createReadStream(path, { encoding: 'utf8', highWaterMark: 64 * 1024 });
  for await (const chunk of chunks) {
    onBytes(Buffer.byteLength(chunk));
    const texts = (rest + chunk).split('\n');
    rest = texts.pop() ?? '';
    const lines: TextLine[] = [];
    for (const text of texts) {
      line += 1;
      lines.push({ line, text: line === 1 ? text.replace(/^\uFEFF/, '') : text });
    }
    yield lines;
    if (rest.length > longest) throw tooLong(file, line + 1, longest);
  }
  yield [{ line: line + 1, text: line === 0 ? rest.replace(/^\uFEFF/, '') : rest }];
}

/** Reads JSON lines. Empty lines are passed over. Throws `LineError` at the first line that is no JSON or too long. */
export async function* jsonLines(
  path: string,
  file: string,
  onBytes: (bytes: number) => void,
): AsyncGenerator<JsonLine[]> {
  for await (const lines of textLines(path, file, onBytes)) {
    const parsed: JsonLine[] = [];
    let broken: LineError | null = null;
    for (const { line, text } of lines) {
      try {
        parsed.push(...parseJsonLine(text, file, line));
      } catch (error) {
        if (!(error instanceof LineError)) throw error;
        broken = error;
        break;
      }
    }
    // What stands before a broken line is good, and is said first.
    yield parsed;
    if (broken !== null) throw broken;
  }
}

/** The value of one line, or nothing for an empty one. Throws `LineError` if it is no JSON or too long. */
export function parseJsonLine(text: string, file: string, line: number, longest = LINE_MAX): JsonLine[] {
  const bare = text.trim();
  if (bare === '') return [];
  if (bare.length > longest) throw tooLong(file, line, longest);
  try {
    return [{ line, value: JSON.parse(bare) }];
  } catch {
    const shown = bare.length > SHOWN ? `${bare.slice(0, SHOWN)}…` : bare;
    throw new LineError(file, line, `this is no JSON: ${JSON.stringify(shown)}; give one object a line`);
  }
}

function tooLong(file: string, line: number, longest: number): LineError {
  return new LineError(file, line, `the line is longer than ${longest} characters; give one object a line`);
}

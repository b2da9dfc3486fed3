/** Puts lines in order of a number while memory stays bounded: sorted runs in files, then one merge of all of them. */
import { rm } from 'node:fs/promises';
import { textLines } from './json-lines.ts';
import { LineFile } from './line-file.ts';

export interface Keyed {
  readonly key: number;
  /** Without line breaks. */
  readonly text: string;
}

/** Lines in memory at a time. */
const RUN_LINES = 25_000;
/** Files that are read at a time. */
const FAN_IN = 16;

/**
 * The same lines in order of their keys; lines of one key keep their order. What does not fit into memory goes into
 * files whose names begin with `scratch`, and is gone at the end.
 */
export async function* sortedByKey(
  lines: AsyncIterable<readonly Keyed[]>,
  scratch: string,
  runLines = RUN_LINES,
): AsyncGenerator<readonly Keyed[]> {
  const runs = new Runs(scratch);
  try {
    let run: Keyed[] = [];
    for await (const portion of lines) {
      for (const one of portion) run.push(one);
      if (run.length < runLines) continue;
      await runs.add(run.toSorted(byKey));
      run = [];
    }
    run.sort(byKey);
    yield* merged([...runs.inOrder().map(readRun), once(run)]);
  } finally {
    await runs.remove();
  }
}

const byKey = (a: Keyed, b: Keyed): number => a.key - b.key;

async function* once<T>(value: T): AsyncGenerator<T> {
  yield value;
}

/** Sorted runs in files. So many of one size become one of the next, so that never many files are open. */
class Runs {
  readonly #scratch: string;
  /** By size, smallest first; in each the earlier runs first. */
  readonly #levels: string[][] = [];
  #made = 0;

  constructor(scratch: string) {
    this.#scratch = scratch;
  }

  async add(run: readonly Keyed[]): Promise<void> {
    let path = await this.#write(once(run));
    for (let level = 0; ; level += 1) {
      const files = this.#levels[level] ?? [];
      this.#levels[level] = files;
      files.push(path);
      if (files.length < FAN_IN) return;
      path = await this.#write(merged(files.map(readRun)));
      for (const file of files.splice(0)) await rm(file, { force: true });
    }
  }

  /** Whatever is larger came earlier. */
  inOrder(): readonly string[] {
    return this.#levels.toReversed().flat();
  }

  async remove(): Promise<void> {
    for (const file of this.inOrder()) await rm(file, { force: true });
  }

  async #write(portions: AsyncIterable<readonly Keyed[]>): Promise<string> {
    const path = `${this.#scratch}-${this.#made}`;
    this.#made += 1;
    const file = await LineFile.create(path);
    try {
      for await (const portion of portions) {
        await file.write(portion.map(({ key, text }) => `${key} ${text}\n`).join(''));
      }
      await file.finish();
    } catch (error) {
      await file.abandon();
      throw error;
    }
    return path;
  }
}

async function* readRun(path: string): AsyncGenerator<readonly Keyed[]> {
  for await (const lines of textLines(path, path, () => undefined)) {
    yield lines.flatMap(({ text }) => {
      const end = text.indexOf(' ');
      return end < 0 ? [] : { key: Number(text.slice(0, end)), text: text.slice(end + 1) };
    });
  }
}

interface Lane {
  readonly rest: AsyncGenerator<readonly Keyed[]>;
  page: readonly Keyed[];
  next: number;
}

/** Of equal keys, those of an earlier run come first. */
async function* merged(runs: readonly AsyncGenerator<readonly Keyed[]>[]): AsyncGenerator<readonly Keyed[]> {
  const lanes: Lane[] = runs.map((rest) => ({ rest, page: [], next: 0 }));
  for (const lane of [...lanes]) await advance(lane, lanes);
  let portion: Keyed[] = [];
  while (lanes.length > 0) {
    const lane = lanes.reduce((best, other) => (keyOf(other) < keyOf(best) ? other : best));
    const one = lane.page[lane.next];
    if (one === undefined) break;
    portion.push(one);
    lane.next += 1;
    if (lane.next === lane.page.length) await advance(lane, lanes);
    if (portion.length < 1000) continue;
    yield portion;
    portion = [];
  }
  if (portion.length > 0) yield portion;
}

const keyOf = ({ page, next }: Lane): number => page[next]?.key ?? Number.POSITIVE_INFINITY;

/** Reads on to lines; a run without more of them leaves. */
async function advance(lane: Lane, lanes: Lane[]): Promise<void> {
  do {
    const { value, done } = await lane.rest.next();
    if (done === true) {
      lanes.splice(lanes.indexOf(lane), 1);
      return;
    }
    lane.page = value;
    lane.next = 0;
  } while (lane.page.length === 0);
}

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

/**
 * The same lines in order of their keys; lines of one key keep their order. What does not fit into memory goes into
 * files whose names begin with `scratch`, and is gone at the end.
 */
export async function* sortedByKey(
  lines: AsyncIterable<readonly Keyed[]>,
  scratch: string,
  runLines = RUN_LINES,
): AsyncGenerator<readonly Keyed[]> {
  const files: string[] = [];
  try {
    let run: Keyed[] = [];
    for await (const portion of lines) {
      for (const one of portion) run.push(one);
      if (run.length < runLines) continue;
      files.push(await writeRun(`${scratch}-${files.length}`, run));
      run = [];
    }
    run.sort((a, b) => a.key - b.key);
    if (files.length === 0) yield run;
    else
      yield* merged([
        ...files.map(readRun),
        (async function* () {
          yield run;
        })(),
      ]);
  } finally {
    for (const file of files) await rm(file, { force: true });
  }
}

async function writeRun(path: string, run: Keyed[]): Promise<string> {
  run.sort((a, b) => a.key - b.key);
  const file = await LineFile.create(path);
  for (const { key, text } of run) await file.write(`${key} ${text}\n`);
  await file.finish();
  return path;
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

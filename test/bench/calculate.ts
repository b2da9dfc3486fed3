/**
 * How long `calculate --lines` takes for 10,000 requests, as a ratio to what no answer can be faster than: parsing and
 * writing the same lines as JSON. `node test/bench/calculate.ts` prints it.
 */
import { pathToFileURL } from 'node:url';
import { calculateCommand } from '../../src/cli/calculate.ts';

const REQUESTS = 10_000;

export interface CalculateBench {
  readonly requests: number;
  readonly answersMs: number;
  /** Parsing the requests and writing the answers, nothing else. */
  readonly limitMs: number;
  readonly ratio: number;
}

function requestLine(index: number): string {
  const temperature = { value: 32 + (index % 150) / 10, unit: '[degF]' };
  const altitude = { value: index % 2000, unit: 'm' };
  switch (index % 4) {
    case 0:
      return JSON.stringify({ what: 'pressure-for', volumes: 2 + (index % 90) / 100, temperature, altitude });
    case 1:
      return JSON.stringify({ what: 'freezing-point', abvPercent: (index % 100) / 10 });
    default:
      return JSON.stringify({
        what: 'equilibrium',
        temperature,
        pressure: { value: 5 + (index % 20), unit: '[psi]' },
        altitude,
      });
  }
}

function chunksOf(text: string, size: number): string[] {
  return Array.from({ length: Math.ceil(text.length / size) }, (_, n) => text.slice(n * size, (n + 1) * size));
}

async function answersOf(input: string): Promise<string> {
  const parts: string[] = [];
  await calculateCommand(['--lines'], {
    stdin: (async function* () {
      yield* chunksOf(input, 65_536);
    })(),
    out: (text) => parts.push(text),
    err: (text) => parts.push(text),
  });
  return parts.join('');
}

/** Best of five runs each, after one to warm up. */
export async function benchCalculate(): Promise<CalculateBench> {
  const input = `${Array.from({ length: REQUESTS }, (_, index) => requestLine(index)).join('\n')}\n`;
  const output = await answersOf(input);
  const answers = output
    .trimEnd()
    .split('\n')
    .map((line): unknown => JSON.parse(line));
  if (answers.length !== REQUESTS || output.includes('"error"')) throw new Error('the bench got errors for answers');
  let answersMs = Number.POSITIVE_INFINITY;
  let limitMs = Number.POSITIVE_INFINITY;
  for (let run = 0; run < 5; run += 1) {
    const began = performance.now();
    await answersOf(input);
    const between = performance.now();
    const parsed = input
      .trimEnd()
      .split('\n')
      .map((line): unknown => JSON.parse(line));
    const written = answers.map((answer) => `${JSON.stringify(answer)}\n`).join('');
    const ended = performance.now();
    if (parsed.length !== REQUESTS || written.length !== output.length) throw new Error('the limit did other work');
    answersMs = Math.min(answersMs, between - began);
    limitMs = Math.min(limitMs, ended - between);
  }
  return { requests: REQUESTS, answersMs, limitMs, ratio: answersMs / limitMs };
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const { requests, answersMs, limitMs, ratio } = await benchCalculate();
  process.stdout.write(
    `calculate: ${requests} lines in ${answersMs.toFixed(0)} ms, ${ratio.toFixed(1)} times the JSON alone (${limitMs.toFixed(0)} ms)\n`,
  );
}

/** `quietkeg calculate`: one answer from the command line, or one JSON answer for each JSON line of standard input. */
import type { z } from 'zod';
import { calculate } from '../app/calculate.ts';
import { answerLines } from '../app/calculate-words.ts';
import { CALCULATE_WHATS, CalculateRequest } from '../contract/index.ts';
import { EXIT, type PlainIo } from './command.ts';

/** A request is a few hundred bytes; a longer line is a mistake, and is not kept in memory. */
const LINE_LENGTH_MAX = 20_000;

const EXAMPLES: Readonly<Record<(typeof CALCULATE_WHATS)[number], string>> = {
  equilibrium: 'temperature=38[degF] pressure=11.3[psi] altitude=0m',
  'pressure-for': 'volumes=2.4 temperature=3Cel altitude=450m',
  'water-solubility': 'temperature=4Cel',
  'freezing-point': 'abvPercent=4.8',
  'co2-vapour-pressure': 'temperature=20Cel',
  'air-pressure': 'altitude=2000[ft_i]',
  'line-flow': 'pressure=70kPa boreMm=4.8 length=3m lift=0.5m temperature=3Cel bottle=0.5L',
  'bottle-pressure': 'volumes=2.4 fillTemperature=2Cel temperature=25Cel headspaceRatio=0.04',
  'priming-sugar': 'volumes=1.5 litres=19 sugar=sucrose fermentedAt=19Cel',
  'gas-budget': 'litres=19 fromVolumes=0.9 volumes=2.4 temperature=3Cel pressure=80kPa flushLitres=12',
  absorption: 'volumes=0.9 temperature=4Cel pressure=85kPa depth=0.5m hours=48',
  cooling: 'temperature=20Cel surroundings=2Cel goal=4Cel litres=19',
};

const HELP = `Usage: quietkeg calculate WHAT key=value… [--json]
       quietkeg calculate --lines

A value carries its unit (UCUM): 38[degF], 4Cel, 11.3[psi], 80kPa, 1.2bar, 450m, 2000[ft_i].
volumes, abvPercent, litres, boreMm, headspaceRatio and co2Ratio are plain numbers.
pressure is gauge; pressureAbsolute may stand in its place. altitude (or airPressure, absolute) says how high you are.

WHAT, with an example of its values:
${CALCULATE_WHATS.map((what) => `  ${what}\n      ${EXAMPLES[what]}`).join('\n')}

  --json    one line of JSON instead of text
  --lines   reads one JSON request a line, {"what":"equilibrium","temperature":{"value":38,"unit":"[degF]"},…},
            and answers each with one line of JSON; a line that cannot be answered gets {"error":"…"}
  --help    this text

Exit: 0 answered, 1 not answered (at least one line, with --lines), 2 wrong usage.
`;

type Answer = { readonly error: string } | Extract<ReturnType<typeof calculate>, { ok: true }>['result'];

const isWhat = (text: unknown): boolean => (CALCULATE_WHATS as readonly unknown[]).includes(text);

function unknownWhat(what: unknown): string {
  return `cannot calculate ${JSON.stringify(what)}; use one of ${CALCULATE_WHATS.join(', ')}`;
}

function knownKeys(what: unknown): string {
  const option = CalculateRequest.options.find((candidate) => candidate.shape.what.value === what);
  return Object.keys(option?.shape ?? {})
    .filter((key) => key !== 'what')
    .join(', ');
}

function issueText(issue: z.core.$ZodIssue, what: unknown): string {
  if (issue.code === 'unrecognized_keys' && issue.path.length === 0) {
    return `unknown ${issue.keys.join(', ')}; ${String(what)} takes ${knownKeys(what)}`;
  }
  return `${issue.path.join('.')}: ${issue.message}`;
}

function answer(request: unknown): Answer {
  if (typeof request !== 'object' || request === null || Array.isArray(request)) {
    return { error: 'a request is a JSON object such as {"what":"freezing-point","abvPercent":4.8}' };
  }
  const what: unknown = 'what' in request ? request.what : undefined;
  if (!isWhat(what)) return { error: unknownWhat(what) };
  const parsed = CalculateRequest.safeParse(request);
  if (!parsed.success) return { error: parsed.error.issues.map((issue) => issueText(issue, what)).join('; ') };
  const outcome = calculate(parsed.data);
  return outcome.ok ? outcome.result : { error: outcome.reason };
}

function answerLine(line: string): Answer {
  let request: unknown;
  try {
    request = JSON.parse(line);
  } catch (error) {
    return { error: `not JSON: ${error instanceof Error ? error.message : String(error)}` };
  }
  return answer(request);
}

/** Lines of a stream as they become whole, a batch for each chunk. A line over the limit comes cut, so it fails as JSON. */
async function* lineBatches(stdin: PlainIo['stdin']): AsyncGenerator<string[]> {
  const decoder = new TextDecoder();
  let rest = '';
  for await (const chunk of stdin) {
    const lines = (rest + (typeof chunk === 'string' ? chunk : decoder.decode(chunk, { stream: true }))).split('\n');
    rest = (lines.pop() ?? '').slice(0, LINE_LENGTH_MAX);
    yield lines;
  }
  yield [rest + decoder.decode()];
}

async function answerLinesOfInput(io: PlainIo): Promise<number> {
  let code: number = EXIT.done;
  for await (const batch of lineBatches(io.stdin)) {
    const answers = batch
      .filter((line) => line.trim() !== '')
      .map((line) => answerLine(line.slice(0, LINE_LENGTH_MAX)));
    if (answers.some((one) => 'error' in one)) code = EXIT.failed;
    if (answers.length > 0) io.out(answers.map((one) => `${JSON.stringify(one)}\n`).join(''));
  }
  return code;
}

/** `4Cel` is a measure, `4` a number, anything else a text: the schema then says what should have been. */
export function typedValue(text: string): unknown {
  const match = /^([-+−]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?)\s*((?:[^\d\s.]\S*)?)$/i.exec(text.trim());
  if (match === null) return text;
  const value = Number((match[1] ?? '').replace('−', '-'));
  return match[2] === '' ? value : { value, unit: match[2] };
}

type Parsed = { readonly request: Record<string, unknown> } | { readonly usage: string };

function parsePairs(what: string, pairs: readonly string[]): Parsed {
  const entries = new Map<string, unknown>([['what', what]]);
  for (const pair of pairs) {
    const equals = pair.indexOf('=');
    if (equals < 1) return { usage: `${JSON.stringify(pair)} is not of the form key=value, such as temperature=4Cel` };
    const key = pair.slice(0, equals);
    if (entries.has(key)) return { usage: `${key} is given twice` };
    entries.set(key, typedValue(pair.slice(equals + 1)));
  }
  return { request: Object.fromEntries(entries) };
}

function wrongUsage(io: PlainIo, message: string): number {
  io.err(`${message}\nquietkeg calculate --help tells how to use it.\n`);
  return EXIT.usage;
}

/** Runs the command; resolves to its exit code and never rejects for what the user typed. */
export async function calculateCommand(args: readonly string[], io: PlainIo): Promise<number> {
  if (args.includes('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  const flags = args.filter((arg) => arg.startsWith('--'));
  const unknown = flags.find((flag) => flag !== '--json' && flag !== '--lines');
  if (unknown !== undefined) return wrongUsage(io, `unknown option ${unknown}`);
  const [what, ...pairs] = args.filter((arg) => !arg.startsWith('--'));
  if (flags.includes('--lines')) {
    if (what !== undefined) return wrongUsage(io, `--lines takes its requests from standard input, not ${what}`);
    return answerLinesOfInput(io);
  }
  if (what === undefined) return wrongUsage(io, `say what to calculate: ${CALCULATE_WHATS.join(', ')}`);
  if (!isWhat(what)) return wrongUsage(io, unknownWhat(what));
  const parsed = parsePairs(what, pairs);
  if ('usage' in parsed) return wrongUsage(io, parsed.usage);
  const result = answer(parsed.request);
  if (flags.includes('--json')) io.out(`${JSON.stringify(result)}\n`);
  else if ('error' in result) io.err(`${result.error}\n`);
  else io.out(`${answerLines(result).join('\n')}\n`);
  return 'error' in result ? EXIT.failed : EXIT.done;
}

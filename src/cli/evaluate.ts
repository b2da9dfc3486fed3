/** `quietkeg evaluate`: errors, honesty and cost of the estimate on simulated kegs. */
import { type Score, type ScoredRun, type ScoreRow, scoreRuns, situationRows } from '../app/score.ts';
import { nearest } from '../config/suggest.ts';
import { SITUATIONS } from '../simulate/situations/catalogue.ts';
import { describeFlags, type Flag, parseArguments, UsageError } from './arguments.ts';
import { EXIT, type PlainIo } from './command.ts';
import { evaluatePlans } from './evaluate-plans.ts';
import { runSituation } from './evaluate-run.ts';
import { wholeNumber } from './replay.ts';

const FLAGS: readonly Flag[] = [
  { flag: '--seeds', value: 'NUMBER', description: 'Kegs to simulate of each situation; usually 1.' },
  { flag: '--situations', value: 'NAMES', description: 'Only these, with commas between; usually all.' },
  { flag: '--plans', value: null, description: 'Try fill plans instead, on so many kegs as there are seeds.' },
  { flag: '--json', value: null, description: 'Print the numbers as JSON.' },
  { flag: '--help', value: null, description: 'Show this.' },
];

const HELP = `quietkeg evaluate [options]

Simulates kegs, replays what their probes reported, and compares with what was truly in the beer:
every three hours from the sixth hour on, in chart volumes. No real keg was measured.

${describeFlags(FLAGS)}

Exit: 0 done, 2 wrong usage.
`;

const SEEDS_MAX = 1000;

/** Runs the command; resolves to its exit code. */
export async function evaluateCommand(
  args: readonly string[],
  io: Pick<PlainIo, 'out' | 'err' | 'errIsTerminal'>,
): Promise<number> {
  const { flags, rest } = parseArguments(args, FLAGS);
  if (flags.has('--help')) {
    io.out(HELP);
    return EXIT.done;
  }
  if (rest[0] !== undefined) throw new UsageError(`${rest[0]} is not understood; see --help`);
  const seeds = wholeNumber('--seeds', flags.get('--seeds') ?? '1', SEEDS_MAX);
  if (flags.has('--plans')) return evaluatePlans(seeds, flags.has('--json'), io);
  const situations = situationsNamed(flags.get('--situations') ?? null);
  const runs: ScoredRun[] = [];
  for (const situation of situations) {
    for (let seed = 1; seed <= seeds; seed += 1) {
      runs.push(runSituation(situation, seed));
      if (io.errIsTerminal === true)
        io.err(`\r\u001b[K${runs.length} of ${situations.length * seeds}: ${situation.name}`);
      // Lets what was asked of the process meanwhile, such as to stop, come through.
      await Promise.resolve();
    }
  }
  if (io.errIsTerminal === true) io.err('\r\u001b[K');
  const score = scoreRuns(runs);
  const bySituation = situationRows(runs);
  io.out(
    flags.has('--json')
      ? `${JSON.stringify({ seeds, ...score, situations: bySituation })}\n`
      : text(score, bySituation),
  );
  return EXIT.done;
}

function situationsNamed(names: string | null) {
  if (names === null) return SITUATIONS;
  return names.split(',').map((name) => {
    const found = SITUATIONS.find((situation) => situation.name === name.trim());
    if (found !== undefined) return found;
    const known = SITUATIONS.map((situation) => situation.name);
    const near = nearest(name, known);
    throw new UsageError(
      `no situation ${name}${near === null ? '' : `; did you mean ${near}?`} Known: ${known.join(', ')}`,
    );
  });
}

const HEAD = ['', 'samples', 'RMSE', 'p95', 'coverage', 'width', 'equilibrium only'];

function text(score: Score, bySituation: readonly ScoreRow[]): string {
  const { ready, cold, leaks } = score;
  return [
    'Dissolved CO2, every 3 h from hour 6, chart volumes',
    '',
    ...tableLines(score.rows),
    '',
    'Situations, worst first',
    '',
    ...tableLines(bySituation),
    '',
    `Time until in the window: median error ${ready.medianErrorHours.toFixed(1)} h, ${percent(ready.medianErrorRatio)} of the time left (${ready.samples} times)`,
    `Time until cold: median error ${cold.medianErrorHours.toFixed(1)} h, ${percent(cold.medianErrorRatio)} of the time left (${cold.samples} times)`,
    `Leaks called likely: ${leaks.found} of ${leaks.leaking}${leaks.medianHours === null ? '' : `, after ${leaks.medianHours.toFixed(1)} h (median)`}; of tight kegs ${leaks.falseAlarms} of ${leaks.tight}`,
    `Processor time: ${score.cpuMsPerStep.toFixed(3)} ms a step, with all that replay does; two weeks of a keg at most ${score.cpuSPerTwoWeeksMax.toFixed(2)} s`,
    '',
  ].join('\n');
}

const percent = (ratio: number): string => `${(100 * ratio).toFixed(0)} %`;

function tableLines(rows: readonly ScoreRow[]): string[] {
  const cells = rows.map((row) => [
    row.name,
    String(row.samples),
    row.rmse.toFixed(3),
    row.p95.toFixed(3),
    percent(row.coverage),
    row.meanWidth.toFixed(3),
    row.equilibriumRmse.toFixed(3),
  ]);
  const widths = HEAD.map((head, column) => Math.max(head.length, ...cells.map((row) => row[column]?.length ?? 0)));
  return [HEAD, ...cells].map((row) =>
    row
      .map((cell, column) => (column === 0 ? cell.padEnd(widths[column] ?? 0) : cell.padStart(widths[column] ?? 0)))
      .join('  ')
      .trimEnd(),
  );
}

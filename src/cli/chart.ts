/** `quietkeg chart`: a carbonation chart for where you are, as text or as a page to print. */
import { writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { carbonationChart } from '../app/chart.ts';
import { ChartRequest } from '../contract/index.ts';
import { typedValue } from './calculate.ts';
import { chartHtml, chartText } from './chart-page.ts';
import { EXIT, type PlainIo } from './command.ts';

const HELP = `Usage: quietkeg chart [--altitude HEIGHT] [--units metric|us] [--html FILE]

Prints what beer holds in the end, by temperature and gauge pressure, for your altitude.

  --altitude HEIGHT  such as 450m or 1500[ft_i]; sea level if left out
  --units            metric (°C, kPa; the default) or us (°F, psi)
  --html FILE        writes one page to print instead, black on white
  --help             this text

Exit: 0 done, 1 failed, 2 wrong usage.
`;

const OPTIONS = {
  altitude: { type: 'string' },
  units: { type: 'string', default: 'metric' },
  html: { type: 'string' },
  help: { type: 'boolean', default: false },
} as const;

const reasonOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

function wrongUsage(io: Pick<PlainIo, 'err'>, message: string): number {
  io.err(`${message}\nquietkeg chart --help tells how to use it.\n`);
  return EXIT.usage;
}

async function writePage(file: string, page: string, io: Pick<PlainIo, 'out' | 'err'>): Promise<number> {
  try {
    await writeFile(file, page);
  } catch (error) {
    io.err(`cannot write ${file}: ${reasonOf(error)}\n`);
    return EXIT.failed;
  }
  io.out(`${file} written: open it in a browser and print it on one sheet, landscape.\n`);
  return EXIT.done;
}

/** Runs the command; resolves to its exit code and never rejects for what the user typed. */
export async function chartCommand(args: readonly string[], io: Pick<PlainIo, 'out' | 'err'>): Promise<number> {
  let values: ReturnType<typeof parse>;
  try {
    values = parse(args);
  } catch (error) {
    return wrongUsage(io, reasonOf(error));
  }
  if (values.help) {
    io.out(HELP);
    return EXIT.done;
  }
  const request = ChartRequest.safeParse({
    ...(values.altitude === undefined ? {} : { altitude: typedValue(values.altitude) }),
    units: values.units,
  });
  if (!request.success) {
    return wrongUsage(
      io,
      request.error.issues.map(({ path, message }) => `--${String(path[0])}: ${message}`).join('\n'),
    );
  }
  const outcome = carbonationChart(request.data);
  if (!outcome.ok) {
    io.err(`${outcome.reason}\n`);
    return EXIT.failed;
  }
  if (values.html !== undefined) return writePage(values.html, chartHtml(outcome.chart), io);
  io.out(chartText(outcome.chart));
  return EXIT.done;
}

function parse(args: readonly string[]) {
  return parseArgs({ args: [...args], options: OPTIONS, allowPositionals: false }).values;
}

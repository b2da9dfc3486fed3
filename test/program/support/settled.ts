import type { NumberedPublisher } from './numbered-publisher.ts';
import type { RunningProgram } from './running-program.ts';

const QUIET_MS = 1500;

export const metricsOf = (program: RunningProgram): Promise<string> =>
  fetch(new URL('metrics', program.address)).then((response) => response.text());

/** A sample of the metrics by its name and labels; null if it is not there. */
export function metric(metrics: string, name: string): number | null {
  const line = metrics.split('\n').find((one) => one.startsWith(`${name} `));
  return line === undefined ? null : Number(line.slice(name.length + 1));
}

/** Every message is acknowledged, and nothing waits on its way to the store, for as long as a broker may take to deliver. */
export async function settled(publisher: NumberedPublisher, program: RunningProgram, msMax = 60_000): Promise<void> {
  const until = performance.now() + msMax;
  let quietSince: number | null = null;
  for (let last = -1; quietSince === null || performance.now() - quietSince < QUIET_MS; ) {
    const { acknowledged, sent } = publisher;
    if (performance.now() > until) {
      throw new Error(`not settled within ${msMax} ms: ${acknowledged.size} of ${sent} acknowledged, ${last} received`);
    }
    const metrics = await metricsOf(program);
    const received = metric(metrics, 'quietkeg_values_total{fate="received"}') ?? -1;
    const isQuiet = received === last && metric(metrics, 'quietkeg_values_waiting') === 0;
    quietSince = isQuiet && acknowledged.size === sent ? (quietSince ?? performance.now()) : null;
    last = received;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

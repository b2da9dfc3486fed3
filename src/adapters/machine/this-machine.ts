import { readdirSync, statfsSync } from 'node:fs';
import process from 'node:process';
import type { Machine } from '../../ports/machine.ts';

/** The machine that we run on, as far as its system tells. */
export function thisMachine(folder: string): Machine {
  return {
    freeDiskBytes: () =>
      orNull(() => {
        const { bavail, bsize } = statfsSync(folder);
        return bavail * bsize;
      }),
    availableBytes: () => orNull(() => process.availableMemory()),
    residentBytes: () => process.memoryUsage.rss(),
    openFiles: () => orNull(() => readdirSync('/proc/self/fd').length),
  };
}

function orNull(ask: () => number): number | null {
  try {
    return ask();
  } catch {
    return null;
  }
}

import type { Log } from '../../src/ports/log.ts';

/** A log that keeps its lines for the test to read. */
export function keptLog(): { readonly log: Log; readonly lines: string[] } {
  const lines: string[] = [];
  const put = (level: string) => (message: string) => {
    lines.push(`${level} ${message}`);
  };
  return { lines, log: { info: put('info'), warn: put('warn'), error: put('error') } };
}

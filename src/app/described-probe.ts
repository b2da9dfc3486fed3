import type * as contract from '../contract/index.ts';
import type { Probe } from '../domain/probe.ts';
import { parseSubjectPath } from '../domain/topic.ts';

/** A probe as a file describes it; null if it measures nothing that there is. */
export function describedProbe({ of, calibration, ...setting }: contract.KegAbout['probes'][number]): Probe | null {
  const subject = parseSubjectPath(of);
  if (subject === null) return null;
  return {
    ...setting,
    subject,
    calibration: calibration
      .map(({ from, offset, gain }) => ({ fromMs: Date.parse(from), offset, gain }))
      .toSorted((a, b) => a.fromMs - b.fromMs),
  };
}

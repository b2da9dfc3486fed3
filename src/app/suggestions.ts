import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';

/** A keg that is only heard of is no longer suggested after this silence (ms). */
const SUGGESTED_FOR_MS = 24 * 3600_000;

/** Kegs heard of lately that are not in the catalogue. */
export function suggestedKegIds(register: Register, probes: LiveProbes, nowMs: number): string[] {
  const heardSinceMs = nowMs - SUGGESTED_FOR_MS;
  return probes.kegIds().filter((kegId) => {
    if (register.keg(kegId) !== null || register.isDismissed(kegId)) return false;
    return probes.of({ kind: 'keg', id: kegId }).some((heard) => heard.rhythm.lastMeasuredAtMs >= heardSinceMs);
  });
}

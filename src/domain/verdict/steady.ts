import type { GapMark, Span } from '../gap.ts';
import { ageWords, pressureWords, temperatureWords } from '../words.ts';
import type { VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

/** Once steady, half as much again is still steady: no probe is without noise. */
const FLICKER = 1.5;

/** What is looked back on (ms). */
export const STEADY_MS = 30 * 60_000;

/**
 * Have pressure and temperature stood still for half an hour? Where nothing was heard because we could not hear, nobody
 * knows what happened meanwhile; a hole that readings filled afterwards is none.
 */
export function steadyCheck({ steadiness, limits, units, passed, holes, nowMs }: VerdictBasis): Check {
  const spans = (kpa: number, celsius: number) =>
    `${pressureWords(kpa, units)}, ${degrees(celsius, units)} in half an hour`;
  const common = {
    name: 'steady',
    wanted: `at most ${spans(limits.steadyKpa, limits.steadyC)}`,
    wantedLow: null,
    wantedHigh: null,
    unit: null,
  } as const;
  const hole = (steadiness?.missedSteps ?? 1) > 0 ? holes.at(-1) : undefined;
  if (hole !== undefined) return { ...common, state: 'unknown', measured: null, advice: holeWords(hole, nowMs) };
  if (steadiness === null) {
    const advice = 'It takes half an hour of temperature and pressure to tell.';
    return { ...common, state: 'wait', measured: null, advice };
  }
  const measured = spans(steadiness.kpa, steadiness.celsius);
  const share = Math.max(steadiness.kpa / limits.steadyKpa, steadiness.celsius / limits.steadyC);
  if (share <= (passed.has('steady') ? FLICKER : 1)) return { ...common, state: 'pass', measured, advice: '' };
  return { ...common, state: 'wait', measured, advice: 'Leave gas and fridge alone until both stand still.' };
}

const WHY: Readonly<Record<GapMark['cause'], string>> = {
  'service-down': 'Quietkeg did not run',
  'session-lost': 'the broker had forgotten Quietkeg',
  'broker-dropped': 'the broker threw messages away',
};

function holeWords({ cause, fromMs, toMs }: GapMark, nowMs: number): string {
  const within: Span = { fromMs: Math.max(fromMs, nowMs - STEADY_MS), toMs: Math.min(toMs, nowMs) };
  const lost = ageWords(within.toMs - within.fromMs);
  return `${lost} of the last half hour were not heard, because ${WHY[cause]}. Half an hour from then will tell.`;
}

/** A difference of temperature, which has no zero to shift. */
function degrees(celsius: number, units: VerdictBasis['units']): string {
  if (units.temperature === 'Cel') return temperatureWords(celsius, units);
  return `${(celsius * 1.8).toFixed(1)}\u00a0°F`;
}

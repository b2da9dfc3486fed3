import { pressureWords, temperatureWords } from '../words.ts';
import type { VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

/** Once steady, half as much again is still steady: no probe is without noise. */
const FLICKER = 1.5;

/** Have pressure and temperature stood still for half an hour? */
export function steadyCheck({ steadiness, limits, units, passed }: VerdictBasis): Check {
  const spans = (kpa: number, celsius: number) =>
    `${pressureWords(kpa, units)}, ${degrees(celsius, units)} in half an hour`;
  const common = {
    name: 'steady',
    wanted: `at most ${spans(limits.steadyKpa, limits.steadyC)}`,
    wantedLow: null,
    wantedHigh: null,
    unit: null,
  } as const;
  if (steadiness === null) {
    const advice = 'It takes half an hour of temperature and pressure to tell.';
    return { ...common, state: 'wait', measured: null, advice };
  }
  const measured = spans(steadiness.kpa, steadiness.celsius);
  const share = Math.max(steadiness.kpa / limits.steadyKpa, steadiness.celsius / limits.steadyC);
  if (share <= (passed.has('steady') ? FLICKER : 1)) return { ...common, state: 'pass', measured, advice: '' };
  return { ...common, state: 'wait', measured, advice: 'Leave gas and fridge alone until both stand still.' };
}

/** A difference of temperature, which has no zero to shift. */
function degrees(celsius: number, units: VerdictBasis['units']): string {
  if (units.temperature === 'Cel') return temperatureWords(celsius, units);
  return `${(celsius * 1.8).toFixed(1)}\u00a0°F`;
}

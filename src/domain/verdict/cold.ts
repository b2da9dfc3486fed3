import { spanWords, temperatureWords } from '../words.ts';
import { usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';
import { coldestSafeC } from './freezing-margin.ts';

/** Once cold, beer stays cold this far above its limit (°C): a compressor comes and goes. */
export const FLICKER_C = 0.3;

/** Is the beer at or below its fill temperature? */
export function coldCheck(basis: VerdictBasis): Check {
  const { facts, units, limits, coldIn } = basis;
  const limitC = facts.target.celsius + limits.coldMarginC;
  const wished = temperatureWords(facts.target.celsius, units);
  const input = usable(basis.beerTemperature);
  const common = {
    name: 'cold',
    wanted: facts.target.celsius,
    wantedLow: null,
    wantedHigh: limitC,
    unit: 'Cel',
  } as const;
  if (input === null) {
    return { ...common, state: 'unknown', measured: null, advice: 'No temperature of the beer is known now.' };
  }
  const flicker = basis.passed.has('cold') ? FLICKER_C : 0;
  if (input.value <= limitC + flicker) return { ...common, state: 'pass', measured: input.value, advice: '' };
  // A wish that the beer would freeze at is no advice to give.
  const safe = facts.target.celsius >= coldestSafeC(basis.batch?.abvPercent ?? null);
  if (!safe) {
    return {
      ...common,
      state: 'act',
      measured: input.value,
      advice: `Wish for a warmer fill: at ${wished} this beer may freeze.`,
    };
  }
  if (facts.fridgeCelsius !== null && facts.fridgeCelsius > limitC) {
    const set = temperatureWords(facts.fridgeCelsius, units);
    return {
      ...common,
      state: 'act',
      measured: input.value,
      advice: `Set the fridge to ${wished}; at ${set} the beer never gets cold enough.`,
    };
  }
  // It counts to half a degree above.
  const when = coldIn === null ? '' : `: nearly there in ${spanWords(coldIn)}`;
  return { ...common, state: 'wait', measured: input.value, advice: `Wait until the beer is at ${wished}${when}.` };
}

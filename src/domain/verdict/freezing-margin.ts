import { beerFreezingPoint } from '../../physics/freezing.ts';
import { temperatureWords } from '../words.ts';
import { usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

/** Alcohol of a beer of which none was entered (% by volume): weak, so that it freezes early. Common practice, no source. */
export const ASSUMED_ABV_PERCENT = 3.5;
/** How far above its freezing point beer should stay (°C): the probe's error, and the fridge is colder at its wall. */
export const FREEZING_MARGIN_C = 1;

/** The coldest that this beer should be (°C). */
export function coldestSafeC(abvPercent: number | null): number {
  return beerFreezingPoint(abvPercent ?? ASSUMED_ABV_PERCENT) + FREEZING_MARGIN_C;
}

/** Is the beer clear of freezing? */
export function freezingMarginCheck(basis: VerdictBasis): Check {
  const { batch, units } = basis;
  const abvPercent = batch?.abvPercent ?? null;
  const limitC = coldestSafeC(abvPercent);
  const common = {
    name: 'freezing-margin',
    wanted: limitC,
    wantedLow: limitC,
    wantedHigh: null,
    unit: 'Cel',
  } as const;
  const input = usable(basis.beerTemperature);
  if (input === null) {
    return { ...common, state: 'unknown', measured: null, advice: 'No temperature of the beer is known now.' };
  }
  if (input.value >= limitC) return { ...common, state: 'pass', measured: input.value, advice: '' };
  const alcohol =
    abvPercent === null ? `${ASSUMED_ABV_PERCENT} % alcohol (none was entered)` : `${abvPercent} % alcohol`;
  const freezes = temperatureWords(limitC - FREEZING_MARGIN_C, units);
  return {
    ...common,
    state: 'act',
    measured: input.value,
    advice: `Set the fridge warmer: beer of ${alcohol} begins to freeze at ${freezes}.`,
  };
}

import { pressureForOrNull } from '../equilibrium.ts';
import { pressureWords } from '../words.ts';
import { usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';

/** An advised setting stays this far inside (kPa): a gauge that reads a little off must not fail the check again. */
const SETTING_MARGIN_KPA = 3;

/** Once right, a pressure stays right this far outside (kPa): a regulator breathes. */
const FLICKER_KPA = 2;
/** Beer served this far below the pressure of its own gas breaks out in the line (kPa). Common practice, no source. */
export const BREAKS_OUT_KPA = 5;

/** Is the keg at a pressure from which bottles can be filled? */
export function servingPressureCheck(basis: VerdictBasis): Check {
  const { units, limits } = basis;
  const { servingKpaLow: low, servingKpaHigh: high } = limits;
  const common = {
    name: 'serving-pressure',
    wanted: `${low} to ${high} kPa`,
    wantedLow: low,
    wantedHigh: high,
    unit: 'kPa',
  } as const;
  const input = usable(basis.headspacePressure);
  if (input === null) {
    return { ...common, state: 'unknown', measured: null, advice: 'No pressure in the keg is known now.' };
  }
  const measured = input.value;
  const gas = gasTrouble(basis);
  if (gas !== null) return { ...common, ...gas, measured };
  const margin = basis.passed.has('serving-pressure') ? FLICKER_KPA : 0;
  const own = ownPressureKpa(basis);
  if (own !== null && measured < own - BREAKS_OUT_KPA - margin) {
    const advice = `The beer's own gas presses with ${pressureWords(own, units)}: served lower it foams in the line. Turn the regulator to ${pressureWords(own, units)} before filling.`;
    return { ...common, state: 'act', measured, advice };
  }
  if (measured >= low - margin && measured <= high + margin) {
    return { ...common, state: 'pass', measured, advice: '' };
  }
  const advised = advisedSettingKpaGauge(basis);
  const set = advised === null ? 'a serving pressure' : pressureWords(advised, units);
  if (carbonatesAsWishedWhileWarm(basis)) {
    return {
      ...common,
      state: 'wait',
      measured,
      advice: `Right while the beer is this warm. Turn the regulator to ${set} when it gets cold.`,
    };
  }
  const setting = `Turn the regulator to ${set}`;
  return {
    ...common,
    state: 'act',
    measured,
    advice: measured > high ? `${setting}. Do not vent the keg in haste: it foams.` : `${setting}.`,
  };
}

/** Bottles are filled with the gas on: what keeps it off. */
function gasTrouble({ facts, gasCheckRuns, dissolved }: VerdictBasis): Pick<Check, 'state' | 'advice'> | null {
  if (gasCheckRuns) return { state: 'wait', advice: 'A gas check is going on. End it before you fill.' };
  if (facts.gas === 'closed') return { state: 'act', advice: 'Open the gas: it is entered as closed.' };
  if (dissolved?.disagreement === 'open-but-no-gas') {
    return { state: 'act', advice: 'No gas reaches the keg: look at the valve, the regulator and the cylinder.' };
  }
  return null;
}

/** The pressure at which the beer gives off and takes up nothing (kPa gauge); null while what it holds is not known. */
function ownPressureKpa({ dissolved, beerTemperature, ambient, co2Ratio }: VerdictBasis): number | null {
  const beer = usable(beerTemperature);
  if (dissolved === undefined || dissolved === null || beer === null) return null;
  return pressureForOrNull(dissolved.volumes, beer.value, ambient.kpaAbsolute, co2Ratio);
}

/**
 * The setting that ends inside the window and lets beer be served (kPa gauge): as near as possible to the window's
 * middle at the temperature at which it will be filled. Where no setting does both, the window wins. Null where the gas or
 * the temperature is outside what can be computed.
 */
export function advisedSettingKpaGauge(basis: VerdictBasis): number | null {
  const { limits } = basis;
  const { target } = basis.facts;
  const beerC = usable(basis.beerTemperature)?.value ?? target.celsius;
  const fillC = beerC <= target.celsius + limits.coldMarginC ? beerC : target.celsius;
  const at = (volumes: number) => pressureForOrNull(volumes, fillC, basis.ambient.kpaAbsolute, basis.co2Ratio);
  const [low, middle, high] = [at(target.low), at(target.volumes), at(target.high)];
  if (low === null || middle === null || high === null) return null;
  const from = Math.max(low, limits.servingKpaLow + SETTING_MARGIN_KPA);
  const to = Math.min(high, limits.servingKpaHigh - SETTING_MARGIN_KPA);
  return from > to ? middle : Math.min(to, Math.max(from, middle));
}

/** A pressure outside the serving range is no mistake while the beer is warm and on its way into the window. */
function carbonatesAsWishedWhileWarm(basis: VerdictBasis): boolean {
  const { target } = basis.facts;
  const beer = usable(basis.beerTemperature);
  const heading = basis.equilibriumVolumes;
  if (beer === null || heading === null || beer.value <= target.celsius + basis.limits.coldMarginC) return false;
  return heading >= target.low && heading <= target.high;
}

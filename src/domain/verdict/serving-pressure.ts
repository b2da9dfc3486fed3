import { pressureForOrNull } from '../equilibrium.ts';
import { pressureWords } from '../words.ts';
import { usable, type VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';
import { COLD_MARGIN_C } from './cold.ts';

/** Pressures at which beer fills bottles gently (kPa gauge; 8 to 12 psi). Common practice, no source. */
export const SERVING_KPA_LOW = 55;
export const SERVING_KPA_HIGH = 83;
/** An advised setting stays this far inside (kPa): a gauge that reads a little off must not fail the check again. */
const SETTING_MARGIN_KPA = 3;

/** Is the keg at a pressure from which bottles can be filled? */
export function servingPressureCheck(basis: VerdictBasis): Check {
  const { units } = basis;
  const common = {
    name: 'serving-pressure',
    wanted: `${SERVING_KPA_LOW} to ${SERVING_KPA_HIGH} kPa`,
    wantedLow: SERVING_KPA_LOW,
    wantedHigh: SERVING_KPA_HIGH,
    unit: 'kPa',
  } as const;
  const input = usable(basis.headspacePressure);
  if (input === null) {
    return { ...common, state: 'unknown', measured: null, advice: 'No pressure in the keg is known now.' };
  }
  const measured = input.value;
  if (measured >= SERVING_KPA_LOW && measured <= SERVING_KPA_HIGH) {
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
    advice: measured > SERVING_KPA_HIGH ? `${setting}. Do not vent the keg in haste: it foams.` : `${setting}.`,
  };
}

/**
 * The setting that ends inside the window and lets beer be served (kPa gauge): as near as possible to the window's
 * middle at the temperature at which it will be filled. Where no setting does both, the window wins. Null where the gas or
 * the temperature is outside what can be computed.
 */
export function advisedSettingKpaGauge(basis: VerdictBasis): number | null {
  const { target } = basis.facts;
  const beerC = usable(basis.beerTemperature)?.value ?? target.celsius;
  const fillC = beerC <= target.celsius + COLD_MARGIN_C ? beerC : target.celsius;
  const at = (volumes: number) => pressureForOrNull(volumes, fillC, basis.ambient.kpaAbsolute, basis.co2Ratio);
  const [low, middle, high] = [at(target.low), at(target.volumes), at(target.high)];
  if (low === null || middle === null || high === null) return null;
  const from = Math.max(low, SERVING_KPA_LOW + SETTING_MARGIN_KPA);
  const to = Math.min(high, SERVING_KPA_HIGH - SETTING_MARGIN_KPA);
  return from > to ? middle : Math.min(to, Math.max(from, middle));
}

/** A pressure outside the serving range is no mistake while the beer is warm and on its way into the window. */
function carbonatesAsWishedWhileWarm(basis: VerdictBasis): boolean {
  const { target } = basis.facts;
  const beer = usable(basis.beerTemperature);
  const heading = basis.equilibriumVolumes;
  if (beer === null || heading === null || beer.value <= target.celsius + COLD_MARGIN_C) return false;
  return heading >= target.low && heading <= target.high;
}

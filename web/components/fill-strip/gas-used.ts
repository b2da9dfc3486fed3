import { flushingGrams, pushingGrams } from '../../../src/physics/gas-use.ts';
import { celsius, kpaAbsolute, litres } from '../../../src/physics/units.ts';

/** How often the gas in a bottle is changed by a purge of a few seconds. Common practice, no source. */
const PURGE_CHANGES = 3;
/** Where neither is known: a usual cold keg. */
const USUAL_C = 2;
const USUAL_KPA_GAUGE = 70;

/** CO2 that bottles took so far (g): what took the place of their beer, and their purges. Null where it cannot be reckoned. */
export function usedGrams(
  bottleSizesL: readonly number[],
  beerC: number | null,
  headspaceKpaGauge: number | null,
  ambientKpaAbsolute: number,
): number | null {
  const sum = bottleSizesL.reduce((total, sizeL) => total + sizeL, 0);
  const [temperature, ambient] = [celsius(beerC ?? USUAL_C), kpaAbsolute(ambientKpaAbsolute)];
  const pressure = kpaAbsolute((headspaceKpaGauge ?? USUAL_KPA_GAUGE) + ambientKpaAbsolute);
  try {
    return (
      pushingGrams(litres(sum), pressure, temperature) + flushingGrams(litres(sum), PURGE_CHANGES, ambient, temperature)
    );
  } catch {
    // Outside what can be computed: a probe that speaks nonsense must not stop the count.
    return null;
  }
}

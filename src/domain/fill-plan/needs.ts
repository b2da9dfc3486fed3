import { carbonatingGrams, flushingGrams, pushingGrams } from '../../physics/gas-use.ts';
import { celsius, kpaAbsolute, litres, volumes } from '../../physics/units.ts';
import type { Site } from '../catalogue.ts';
import { type BottleGroup, bottleCount, bottleLitres, spares } from './bottles.ts';
import type { SetPoints } from './set-points.ts';

export interface NeedsBasis {
  readonly bottles: readonly BottleGroup[];
  readonly setPoints: SetPoints;
  /** Beer in the keg (L) and CO2 in the cylinder (kg); null: not known. */
  readonly beerLeftL: number | null;
  readonly gasLeftKg: number | null;
  /** What the beer still takes up until the hour (volumes). */
  readonly uptakeVolumes: number;
  readonly beerC: number;
  readonly ambientKpaAbsolute: number;
}

export interface Needs {
  /** With spares. */
  readonly bottles: number;
  readonly caps: number;
  readonly co2Grams: number;
  readonly co2LeftGrams: number | null;
  readonly sanitiserL: number;
  /** Beer into bottles, and with what stays in the line and foams away (L). */
  readonly bottleL: number;
  readonly beerL: number;
  readonly beerLeftL: number | null;
  readonly sessionMinutes: number;
}

/** Beer lost: the line twice over, a tenth of a litre to begin with, and 3 % of what is filled. Common practice, no source. */
const FIRST_POUR_L = 0.1;
const FOAM_SHARE = 0.03;
/** Beer below the dip tube that never comes out (L). Common practice, no source. */
const UNREACHED_L = 0.1;
/** Sanitiser to soak filler and line, and for each bottle (L). Common practice, no source. */
const SANITISER_L = 2;
const SANITISER_PER_BOTTLE_L = 0.05;
/** Bottles are purged with three times their volume of gas. Common practice, no source. */
const PURGE_CHANGES = 3;
/** Purging, capping and setting aside one bottle (s); setting up before and rinsing after (min). Common practice, no source. */
const HANDLING_S = 45;
const SET_UP_MIN = 15;
const RINSE_MIN = 10;
const SLOWEST_S = 600;

export const lineLitres = (line: NonNullable<Site['line']>): number =>
  (Math.PI / 4) * (line.boreMm / 1000) ** 2 * line.lengthM * 1000;

export function needsOf(basis: NeedsBasis): Needs {
  const { bottles, setPoints, beerLeftL, gasLeftKg, uptakeVolumes, ambientKpaAbsolute } = basis;
  const count = bottleCount(bottles);
  const bottleL = bottleLitres(bottles);
  const beerL = bottleL * (1 + FOAM_SHARE) + 2 * lineLitres(setPoints.line) + FIRST_POUR_L + UNREACHED_L;
  const beer = celsius(Math.min(40, Math.max(-3, basis.beerC)));
  const serving = kpaAbsolute(Math.max(1, setPoints.servingKpaGauge + ambientKpaAbsolute));
  const co2Grams =
    pushingGrams(litres(beerL), serving, beer) +
    flushingGrams(litres(bottleL), PURGE_CHANGES, kpaAbsolute(ambientKpaAbsolute), celsius(20)) +
    carbonatingGrams(volumes(0), volumes(Math.min(6, Math.max(0, uptakeVolumes))), litres(beerLeftL ?? beerL));
  const running = setPoints.secondsPerBottle.reduce(
    (sum, { count: some, slowSeconds }) => sum + some * Math.min(SLOWEST_S, slowSeconds),
    0,
  );
  return {
    bottles: count + spares(count),
    caps: count + spares(count),
    co2Grams: Math.ceil(co2Grams / 5) * 5,
    co2LeftGrams: gasLeftKg === null ? null : 1000 * gasLeftKg,
    sanitiserL: Math.round(2 * (SANITISER_L + SANITISER_PER_BOTTLE_L * count)) / 2,
    bottleL,
    beerL: Math.round(beerL * 10) / 10,
    beerLeftL,
    sessionMinutes: Math.ceil((SET_UP_MIN + RINSE_MIN + (running + count * HANDLING_S) / 60) / 5) * 5,
  };
}

/** From the first bottle to the last (min). */
export const fillingMinutes = (needs: Needs): number => Math.max(5, needs.sessionMinutes - SET_UP_MIN - RINSE_MIN);
export { SET_UP_MIN };

import { bottlePressure } from '../../physics/headspace.ts';
import { volumesAfterPour } from '../../physics/line.ts';
import { primingSugarGrams, type Sugar } from '../../physics/priming.ts';
import {
  celsius,
  type KpaAbsolute,
  kpaAbsolute,
  litres,
  STANDARD_ATMOSPHERE_KPA,
  volumes,
} from '../../physics/units.ts';
import { refusedAsNull } from '../refused.ts';
import type { FillRecord } from './fill.ts';

/** Bottles filled from a keg are drunk within four weeks, cold. Common practice, no source. */
export const DRINK_WITHIN_DAYS = 28;

/** Headspace over beer of a bottle filled to a usual level. Common practice, no source. */
const HEADSPACE_RATIO = 0.04;
/**
 * Oxygen through a crown cap (cm³ a day at 0 °C and 101.325 kPa).
 * @source Heumüller and Jennings, Brewing and Beverage Industry International, as quoted in a 2014 trade blog
 */
const CAP_CM3_PER_DAY = 0.001;
/** Mass of oxygen (mg/cm³ at 0 °C and 101.325 kPa). @source ideal gas, 31.998 g/mol over 22.414 L/mol */
const OXYGEN_MG_PER_CM3 = 31.998 / 22.414;

/** Oxygen that comes into a bottle through its cap alone (mg/L): no filling can be better than that. */
export function oxygenThroughCapMgPerL(sizeL: number, days: number): number {
  return (CAP_CM3_PER_DAY * OXYGEN_MG_PER_CM3 * days) / sizeL;
}

export interface Advice {
  readonly text: string;
  /** What says so; null: common practice, no source. */
  readonly source: string | null;
}

/** How to keep bottles that were filled from a keg. */
export function storingAdvice(sizeL: number): Advice[] {
  const capMg = oxygenThroughCapMgPerL(sizeL, DRINK_WITHIN_DAYS);
  return [
    {
      text: `Keep them cold, standing and in the dark, and drink them within ${DRINK_WITHIN_DAYS} days.`,
      source: null,
    },
    {
      text: 'Breweries keep the oxygen in beer below 0.1 mg/L before bottling and let at most 0.03 mg/L in while they fill. A bottle filled by hand cannot be sure of that.',
      source: 'a vendor’s page on bottle filling, seen',
    },
    {
      text: `Through its cap alone a bottle of this size takes up about ${capMg.toFixed(2)} mg/L in ${DRINK_WITHIN_DAYS} days, whoever filled it.`,
      source: 'computed from 0.001 cm³ a day and cap: Heumüller and Jennings, quoted in a 2014 trade blog',
    },
    {
      text: 'Beer that is to keep for months is better bottled with sugar and yeast: the yeast takes up oxygen while it works.',
      source: null,
    },
  ];
}

/** What beer holds once it is in the bottle (volumes), with the doubt of the estimate; the loss itself is doubtful as well. */
export function bottledVolumes(inKeg: { readonly volumes: number; readonly low: number; readonly high: number }) {
  const after = (value: number): number => volumesAfterPour(volumes(value));
  return { volumes: after(inKeg.volumes), low: after(inKeg.low), high: inKeg.high };
}

/**
 * Gauge pressure in a closed bottle at a temperature (kPa), capped on foam, no sugar left; null outside what can be computed.
 * @source as `bottlePressure`
 */
export function bottleKpaGauge(inBottle: number, filledC: number, atC: number, ambient: number): number | null {
  return refusedAsNull(() => {
    const bottle = {
      carbonation: volumes(inBottle),
      fillTemperature: celsius(filledC),
      headspaceRatio: HEADSPACE_RATIO,
      headspaceCo2: kpaAbsolute(STANDARD_ATMOSPHERE_KPA),
    };
    return bottlePressure(bottle, celsius(atC)) - (ambient as KpaAbsolute);
  });
}

export interface Conditioning {
  readonly wishedVolumes: number;
  readonly sugar: Sugar;
  /** To add for each litre; 0 if the beer holds enough already. */
  readonly gramsPerL: number;
}

/**
 * Sugar for beer that is to keep longer, bottled with living yeast (g/L). `inBottle` is what it holds once it is in the bottle;
 * null outside what can be computed. @source as `primingSugarGrams`
 */
export function conditioning(inBottle: number, wishedVolumes: number, sugar: Sugar): Conditioning | null {
  const toAdd = Math.max(0, wishedVolumes - inBottle);
  const gramsPerL = refusedAsNull(() => primingSugarGrams(volumes(toAdd), litres(1), sugar));
  return gramsPerL === null ? null : { wishedVolumes, sugar, gramsPerL };
}

/** What the beer of a fill held and how cold it was: the middle of what its bottles knew. Null where none knew. */
export function conditionsOfFill({ bottles }: FillRecord) {
  const dissolved = bottles.flatMap(({ conditions }) => conditions?.dissolved ?? []);
  const middle = dissolved.toSorted((a, b) => a.volumes - b.volumes)[Math.floor((dissolved.length - 1) / 2)] ?? null;
  return {
    dissolved: middle,
    beerC: meanOf(bottles.map(({ conditions }) => conditions?.beerTemperatureC ?? null)),
    kpaGauge: meanOf(bottles.map(({ conditions }) => conditions?.headspaceKpaGauge ?? null)),
  };
}

function meanOf(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
}

import { beerFluid } from '../../physics/absorption.ts';
import { bottlePressure } from '../../physics/headspace.ts';
import { GLASS_SAFETY_FACTOR, PRESSURE_LIMITS } from '../../physics/limits.ts';
import {
  breakoutPressure,
  type FlowRegime,
  type Line,
  lineFlow,
  secondsPerBottle,
  volumesAfterPour,
} from '../../physics/line.ts';
import {
  celsius,
  kpaAbsolute,
  kpaGauge,
  litres,
  litresPerSecond,
  metres,
  toGauge,
  volumes,
} from '../../physics/units.ts';
import type { Site } from '../catalogue.ts';
import type { BottleGroup } from './bottles.ts';

export interface SetPointBasis {
  readonly servingKpaGauge: number;
  readonly beerC: number;
  /** What the beer will hold (volumes). */
  readonly volumes: number;
  readonly ambientKpaAbsolute: number;
  /** Share of CO2 in the gas. */
  readonly co2Ratio: number;
  readonly line: Site['line'];
  readonly bottles: readonly BottleGroup[];
}

/** What to set and what to expect on the day. */
export interface SetPoints {
  readonly servingKpaGauge: number;
  readonly purgeKpaGauge: number;
  readonly line: NonNullable<Site['line']>;
  /** True if nobody entered the line, so that a usual one is taken. */
  readonly lineAssumed: boolean;
  /** Through a smooth line; a real one lets through less, down to the slow figure (mL/s). */
  readonly flowMlPerS: number;
  readonly slowFlowMlPerS: number;
  readonly regime: FlowRegime;
  /** Beer running, without handling (s): through a smooth line, and at the slow flow. */
  readonly secondsPerBottle: readonly {
    readonly count: number;
    readonly litres: number;
    readonly seconds: number;
    readonly slowSeconds: number;
  }[];
  /** The beer's own pressure, below which it breaks out in the line (kPa gauge), and whether it will. */
  readonly breakoutKpaGauge: number;
  readonly breaksOut: boolean;
  /** Carbonation in the keg and in the bottle: as a gentle pour into a glass leaves it, at worst (volumes). */
  readonly kegVolumes: number;
  readonly bottleVolumes: number;
  /** Pressure in the bottle when it warms (kPa gauge), with all that the keg holds in it. */
  readonly bottleKpaGaugeAt20C: number;
  readonly bottleKpaGaugeAt30C: number;
  /** The least that a new beer bottle is proved with, and that over the safety factor (kPa gauge). */
  readonly glassKpaGauge: number;
  readonly glassSafeKpaGauge: number;
  readonly glassIsSafe: boolean;
}

/** About 15 psi, for two or three seconds. Common practice, no source. */
export const PURGE_KPA_GAUGE = 103;
/** Three metres of 3/16 in line and a filler half a metre above the keg. Common practice, no source. */
export const USUAL_LINE: NonNullable<Site['line']> = { boreMm: 4.8, lengthM: 3, liftM: 0.5 };
/** Loss of coupler, tap and filler in velocity heads. From memory of pipe tables: entrance 0.5, two valves, exit 1. */
const FITTINGS = 4;
/** Trade figures of resistance are up to 2.5 times those of a smooth line. @source golden table of line resistances, L1 to L3 */
const ROUGHEST = 2.5;
/** Headspace over beer of a bottle filled to the usual level. @source golden table of bottle pressures */
const HEADSPACE_RATIO = 0.04;
const ROOM_C = 20;
/** A bottle left in the sun or a car. */
const HOT_C = 30;
/** The least of the proof pressures that are named. @source physics/limits, two trade articles */
const GLASS_KPA = Math.min(
  ...PRESSURE_LIMITS.filter(({ subject }) => subject.includes('glass')).map((one) => one.lowKpaGauge),
);
const FLUID_COLDEST_C = -3;

export function setPoints(basis: SetPointBasis): SetPoints {
  const { servingKpaGauge, ambientKpaAbsolute } = basis;
  const line = basis.line ?? USUAL_LINE;
  const beerC = celsius(Math.min(25, Math.max(FLUID_COLDEST_C, basis.beerC)));
  const carbonation = volumes(Math.min(6, Math.max(0, basis.volumes)));
  const { flow, regime } = flowOf(servingKpaGauge, line, beerC, 1);
  const slow = flowOf(servingKpaGauge, line, beerC, ROUGHEST).flow;
  const ambient = kpaAbsolute(ambientKpaAbsolute);
  // Of mixed gas only the CO2 keeps CO2 in the beer.
  const breakout = breakoutPressure(carbonation, beerC, ambient);
  const ownKpa = (breakout + ambient) / basis.co2Ratio - ambient;
  const warm = (celsiusThen: number) => warmBottle(carbonation, beerC, celsiusThen, ambient);
  const hot = warm(HOT_C);
  const glassSafe = GLASS_KPA / GLASS_SAFETY_FACTOR.low;
  return {
    servingKpaGauge,
    purgeKpaGauge: PURGE_KPA_GAUGE,
    line,
    lineAssumed: basis.line === null,
    flowMlPerS: 1000 * flow,
    slowFlowMlPerS: 1000 * slow,
    regime,
    secondsPerBottle: basis.bottles.map((bottle) => ({
      ...bottle,
      seconds: secondsFor(bottle.litres, flow),
      slowSeconds: secondsFor(bottle.litres, slow),
    })),
    breakoutKpaGauge: ownKpa,
    breaksOut: servingKpaGauge < ownKpa,
    kegVolumes: carbonation,
    bottleVolumes: volumesAfterPour(carbonation),
    bottleKpaGaugeAt20C: warm(ROOM_C),
    bottleKpaGaugeAt30C: hot,
    glassKpaGauge: GLASS_KPA,
    glassSafeKpaGauge: glassSafe,
    glassIsSafe: hot <= glassSafe,
  };
}

/** The flow under a pressure; `rougher` makes the line so many times longer, as its friction is. */
function flowOf(servingKpa: number, line: NonNullable<Site['line']>, beerC: number, rougher: number) {
  const fluid = beerFluid(celsius(beerC));
  const piece: Line = {
    bore: metres(line.boreMm / 1000),
    length: metres(Math.min(100, line.lengthM * rougher)),
    lift: metres(line.liftM),
    fittings: FITTINGS,
  };
  return lineFlow(kpaGauge(servingKpa), piece, fluid);
}

function secondsFor(bottle: number, flow: number): number {
  return flow < 1e-6 ? Number.POSITIVE_INFINITY : secondsPerBottle(litres(bottle), litresPerSecond(flow));
}

/** Pressure in a capped bottle when it warms (kPa gauge); what the fill loses is left in, on the safe side. */
function warmBottle(carbonation: number, fillC: number, thenC: number, ambient: number): number {
  const capped = {
    carbonation: volumes(carbonation),
    fillTemperature: celsius(fillC),
    headspaceRatio: HEADSPACE_RATIO,
    headspaceCo2: kpaAbsolute(ambient),
  };
  return toGauge(bottlePressure(capped, celsius(thenC)), kpaAbsolute(ambient));
}

/** Beer flowing through a line from the keg to the tap or the bottle. */
import type { BeerFluid } from './absorption.ts';
import { equilibriumPressure } from './carbonation.ts';
import { within } from './range.ts';
import { risingRoot } from './solve.ts';
import {
  type Celsius,
  type KpaAbsolute,
  type KpaGauge,
  kpaGauge,
  type Litres,
  type LitresPerSecond,
  litresPerSecond,
  type Metres,
  type Seconds,
  seconds,
  toGauge,
  type Volumes,
  volumes,
} from './units.ts';

/** Standard gravity (m/s²). @source CGPM 1901, exact */
const GRAVITY = 9.80665;
/** Reynolds number up to which flow in a pipe stays laminar. @source texts on pipe flow, from memory: 2300 */
const LAMINAR_UP_TO = 2300;
/** CO2 lost in a gentle pour, share of what was in. @source Liger-Belair and Cilindre 2021, table 1: 5.49 to 5.19 g/L at 6 °C */
const POUR_LOSS_RATIO = (5.49 - 5.19) / 5.49;

type Fluid = Pick<BeerFluid, 'density' | 'viscosityMpaS'>;

export type FlowRegime = 'none' | 'laminar' | 'transition' | 'turbulent';

export interface LineFriction {
  readonly kpaPerMetre: number;
  readonly reynolds: number;
  readonly darcyFactor: number;
  readonly velocity: number;
}

/**
 * Darcy friction factor of a smooth pipe at a Reynolds number (1 to 100,000).
 * @source Hagen-Poiseuille 64/Re below 2,300, Blasius 0.3164/Re^0.25 above
 */
export function darcyFactor(reynolds: number): number {
  within('Reynolds number', reynolds, '', 1e-9, 100_000);
  return reynolds < LAMINAR_UP_TO ? 64 / reynolds : 0.3164 / reynolds ** 0.25;
}

function areaM2(boreM: number): number {
  return (Math.PI * boreM ** 2) / 4;
}

function reynoldsOf(flow: number, boreM: number, fluid: Fluid): number {
  return (fluid.density * (flow / 1000 / areaM2(boreM)) * boreM) / (fluid.viscosityMpaS / 1000);
}

/**
 * Pressure lost per metre of a smooth line at a flow (bore 1 to 50 mm; flow above 0).
 * @source Darcy-Weisbach, Δp = f ρ v²/(2 D)
 */
export function lineFriction(flow: LitresPerSecond, bore: Metres, fluid: Fluid): LineFriction {
  within('flow', flow, 'L/s', 1e-9, 10);
  within('bore', bore, 'm', 0.001, 0.05);
  const velocity = flow / 1000 / areaM2(bore);
  const reynolds = reynoldsOf(flow, bore, fluid);
  const factor = darcyFactor(reynolds);
  return {
    kpaPerMetre: (factor * fluid.density * velocity ** 2) / (2 * bore) / 1000,
    reynolds,
    darcyFactor: factor,
    velocity,
  };
}

/**
 * Pressure of a column of beer (kPa) over a height (m; negative if the tap is lower).
 * @source hydrostatics, ρ g h
 */
export function liftPressure(lift: Metres, fluid: Fluid): KpaGauge {
  return kpaGauge((fluid.density * GRAVITY * within('lift', lift, 'm', -20, 20)) / 1000);
}

export interface Line {
  readonly bore: Metres;
  readonly length: Metres;
  /** How much higher the outlet is than the beer's surface; negative if lower. */
  readonly lift: Metres;
  /** Sum of the loss coefficients of fittings, coupler and tap, in velocity heads; 0 if not counted. */
  readonly fittings: number;
}

export interface LineFlow {
  readonly flow: LitresPerSecond;
  readonly reynolds: number;
  readonly regime: FlowRegime;
}

function lossKpa(flow: number, line: Line, fluid: Fluid, factor: number): number {
  const velocity = flow / 1000 / areaM2(line.bore);
  return (((factor * line.length) / line.bore + line.fittings) * fluid.density * velocity ** 2) / 2000;
}

/**
 * Flow through a line under a pressure (kPa gauge in the keg, air pressure at the outlet; −20 to 1,000).
 * Between the end of laminar flow and the least turbulent flow there is a gap of pressures where the flow can be either:
 * there it is given at Re 2,300 and called `transition`. No flow if the pressure does not lift the beer.
 * Range: bore 1 to 50 mm, length 0.1 to 100 m, lift −20 to 20 m, fittings 0 to 1,000; Reynolds number up to 100,000.
 * @source Darcy-Weisbach with 64/Re and Blasius, solved for the flow
 */
export function lineFlow(pressure: KpaGauge, line: Line, fluid: Fluid): LineFlow {
  within('pressure', pressure, 'kPa gauge', -20, 1000);
  within('bore', line.bore, 'm', 0.001, 0.05);
  within('length', line.length, 'm', 0.1, 100);
  within('fittings', line.fittings, 'velocity heads', 0, 1000);
  const driving = pressure - liftPressure(line.lift, fluid);
  if (driving <= 0) return { flow: litresPerSecond(0), reynolds: 0, regime: 'none' };
  const perReynolds = 1 / reynoldsOf(1, line.bore, fluid);
  const critical = LAMINAR_UP_TO * perReynolds;
  const laminarLoss = (flow: number) => lossKpa(flow, line, fluid, 64 / reynoldsOf(flow, line.bore, fluid));
  const turbulentLoss = (flow: number) =>
    lossKpa(flow, line, fluid, 0.3164 / reynoldsOf(flow, line.bore, fluid) ** 0.25);
  if (driving < laminarLoss(critical)) {
    const flow = risingRoot((q) => laminarLoss(q) - driving, 1e-12, critical);
    return { flow: litresPerSecond(flow), reynolds: flow / perReynolds, regime: 'laminar' };
  }
  if (driving <= turbulentLoss(critical)) {
    return { flow: litresPerSecond(critical), reynolds: LAMINAR_UP_TO, regime: 'transition' };
  }
  const fastest = 100_000 * perReynolds;
  within('pressure along the line', driving, 'kPa', 0, turbulentLoss(fastest));
  const flow = risingRoot((q) => turbulentLoss(q) - driving, critical, fastest);
  return { flow: litresPerSecond(flow), reynolds: flow / perReynolds, regime: 'turbulent' };
}

/**
 * Time to fill one bottle (s): its volume over the flow (flow above 0, bottle up to 20 L).
 * @source definition of flow
 */
export function secondsPerBottle(bottle: Litres, flow: LitresPerSecond): Seconds {
  return seconds(within('bottle', bottle, 'L', 0.01, 20) / within('flow', flow, 'L/s', 1e-6, 10));
}

/**
 * The keg pressure below which this beer gives off gas in the line (kPa gauge; −3 to 40 °C, 0 to 10 volumes): its own
 * equilibrium pressure. Serve at it or a little above.
 * @source as `equilibriumPressure`
 */
export function breakoutPressure(carbonation: Volumes, beer: Celsius, ambient: KpaAbsolute): KpaGauge {
  return toGauge(equilibriumPressure(carbonation, beer), ambient);
}

/**
 * What is left of the carbonation after a gentle fill into an open, cold vessel (volumes; 0 to 10): 5.5 % less.
 * One lager at 6 °C into a glass; a bottle filled from the bottom loses less, a warm or shaken one much more.
 * @source Liger-Belair and Cilindre 2021, ACS Omega 6, 9672, table 1
 */
export function volumesAfterPour(carbonation: Volumes): Volumes {
  return volumes(within('carbonation', carbonation, 'volumes', 0, 10) * (1 - POUR_LOSS_RATIO));
}

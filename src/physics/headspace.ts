/** Beer and gas shut in together: a closed keg or a capped bottle. CO2 moves between them and none is lost. */
import { equilibriumVolumes, OFFSET_VOLUMES, solubilityVolumesPerKpa } from './carbonation.ts';
import { CO2_L_PER_MOL, GAS_CONSTANT, gasMoles, secondVirialCm3PerMol } from './co2.ts';
import { within } from './range.ts';
import {
  type Celsius,
  type KpaAbsolute,
  kpaAbsolute,
  type Litres,
  litres,
  type MetresPerSecond,
  type Moles,
  moles,
  type Seconds,
  type SquareMetres,
  toKelvin,
  type Volumes,
  volumes,
} from './units.ts';

export interface ClosedVessel {
  readonly beer: Litres;
  readonly headspace: Litres;
  readonly temperature: Celsius;
}

export interface ClosedState {
  readonly dissolved: Volumes;
  /** CO2 in the headspace; air comes on top. */
  readonly co2: KpaAbsolute;
}

function checked(vessel: ClosedVessel): ClosedVessel {
  within('beer', vessel.beer, 'L', 0.01, 10_000);
  within('headspace', vessel.headspace, 'L', 0, 10_000);
  within('temperature', vessel.temperature, 'Cel', -3, 40);
  return vessel;
}

/**
 * All CO2 in a closed vessel, dissolved and gas (mol).
 * @source mass balance; 22.263 L/mol, gas with second virial as `gasMoles`
 */
export function closedVesselMoles(vessel: ClosedVessel, state: ClosedState): Moles {
  const { beer, headspace, temperature } = checked(vessel);
  const dissolved = (within('carbonation', state.dissolved, 'volumes', 0, 10) * beer) / CO2_L_PER_MOL;
  return moles(dissolved + gasMoles(state.co2, headspace, temperature));
}

function pressureOf(gas: number, vessel: ClosedVessel): KpaAbsolute {
  const virialL = secondVirialCm3PerMol(vessel.temperature) / 1000;
  return kpaAbsolute((gas * GAS_CONSTANT * toKelvin(vessel.temperature)) / (vessel.headspace - gas * virialL));
}

/**
 * Where a closed vessel ends: beer and headspace in equilibrium with all their CO2 kept (kPa of CO2, volumes).
 * This is the pressure that a gas check tends to. Throws `PhysicsRangeError` above 1,000 kPa absolute.
 * @source mass balance with `equilibriumVolumes` and `gasMoles`: a quadratic in p, solved in closed form
 */
export function closedEquilibrium(vessel: ClosedVessel, total: Moles): ClosedState {
  const { beer, headspace, temperature } = checked(vessel);
  within('CO2 in the vessel', total, 'mol', 0, 1e6);
  const rt = GAS_CONSTANT * toKelvin(temperature);
  const virialL = secondVirialCm3PerMol(temperature) / 1000;
  const perKpa = (beer * solubilityVolumesPerKpa(temperature)) / CO2_L_PER_MOL;
  const all = total + (beer * OFFSET_VOLUMES) / CO2_L_PER_MOL;
  // perKpa·B p² + (perKpa·RT + V − all·B) p − all·RT = 0, in the form of its root that does not cancel.
  const linear = perKpa * rt + headspace - all * virialL;
  const co2 = kpaAbsolute((2 * all * rt) / (linear + Math.sqrt(linear ** 2 + 4 * perKpa * virialL * all * rt)));
  within('CO2 pressure in the end', co2, 'kPa absolute', 0, 1000);
  const dissolved = ((total - gasMoles(co2, headspace, temperature)) * CO2_L_PER_MOL) / beer;
  // Next to no CO2: the formula's offset would leave less than none in the beer, so all of it is gas.
  if (dissolved < 0) return { dissolved: volumes(0), co2: pressureOf(total, vessel) };
  return { dissolved: volumes(dissolved), co2 };
}

/**
 * A closed vessel after a time, with transfer through a surface (well-mixed beer). First order about its end, so two
 * half steps are one whole step, and the CO2 is the same before and after.
 * Range: transfer velocity 0 to 1 m/s; headspace above 0.
 * @source film theory with mass balance: λ = k A/V (1 + V s (∂p/∂n)/22.263)
 */
export function stepClosedVessel(
  vessel: ClosedVessel,
  state: ClosedState,
  surface: SquareMetres,
  velocity: MetresPerSecond,
  elapsed: Seconds,
): ClosedState {
  within('headspace', vessel.headspace, 'L', 1e-6, 10_000);
  within('surface', surface, 'm2', 0, 100);
  within('transfer velocity', velocity, 'm/s', 0, 1);
  within('elapsed time', elapsed, 's', 0, 1e10);
  const total = closedVesselMoles(vessel, state);
  const end = closedEquilibrium(vessel, total);
  const rt = GAS_CONSTANT * toKelvin(vessel.temperature);
  const virialL = secondVirialCm3PerMol(vessel.temperature) / 1000;
  const gasAtEnd = gasMoles(end.co2, vessel.headspace, vessel.temperature);
  const kpaPerMole = (rt * vessel.headspace) / (vessel.headspace - gasAtEnd * virialL) ** 2;
  const solubility = solubilityVolumesPerKpa(vessel.temperature);
  const feedback = 1 + (vessel.beer * solubility * kpaPerMole) / CO2_L_PER_MOL;
  const left = Math.exp(-((velocity * surface * 1000) / vessel.beer) * feedback * elapsed);
  const dissolved = end.dissolved + (state.dissolved - end.dissolved) * left;
  // Rounding may leave a headspace that gave all its gas a hair below none.
  const gas = Math.max(0, total - (dissolved * vessel.beer) / CO2_L_PER_MOL);
  return { dissolved: volumes(dissolved), co2: pressureOf(gas, vessel) };
}

export interface BottleAtCapping {
  readonly carbonation: Volumes;
  readonly fillTemperature: Celsius;
  /** Headspace over beer volume, 0 to 0.2; a bottle filled to a usual level has about 0.04. */
  readonly headspaceRatio: number;
  /** CO2 in the headspace when the cap goes on: one atmosphere if capped on foam. */
  readonly headspaceCo2: KpaAbsolute;
}

/**
 * CO2 pressure in a capped bottle at another temperature (kPa absolute; −3 to 40 °C, above 16 °C by extrapolation of the
 * chart's fit). No sugar left, no yeast at work: with either it goes on rising.
 * @source mass balance as `closedEquilibrium`; above 60 °F the solubility is extrapolated
 */
export function bottlePressure(bottle: BottleAtCapping, temperature: Celsius): KpaAbsolute {
  const headspace = litres(within('headspace over beer', bottle.headspaceRatio, '', 0, 0.2));
  const capped: ClosedVessel = { beer: litres(1), headspace, temperature: bottle.fillTemperature };
  const total = closedVesselMoles(capped, { dissolved: bottle.carbonation, co2: bottle.headspaceCo2 });
  return closedEquilibrium({ ...capped, temperature }, total).co2;
}

/**
 * The gap between what the beer holds and what the headspace's CO2 would hold in the end (volumes; positive: taking up).
 * @source as `equilibriumVolumes`
 */
export function absorptionGap(temperature: Celsius, state: ClosedState): number {
  return equilibriumVolumes(temperature, state.co2) - within('carbonation', state.dissolved, 'volumes', 0, 10);
}

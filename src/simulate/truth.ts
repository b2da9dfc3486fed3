import { equilibriumVolumes } from '../physics/carbonation.ts';
import { celsius, kpaAbsolute } from '../physics/units.ts';
import { at, dissolvedMol } from './beer-column.ts';
import type { CellarTruth } from './cellar-truth.ts';
import { co2PressurePa } from './gas.ts';
import { beerMeanC, headspacePa, type KegTruth } from './keg.ts';
import type { ProbeSetup } from './probe.ts';
import { chartVolumesOf, equilibriumMolPerM3, volumesOf } from './solubility.ts';
import { cylinderKg, linePa } from './supply.ts';

/** What is truly so in and around a keg. */
export interface KegReport {
  readonly kegId: string;
  readonly atMs: number;
  /** CO2 dissolved, mean of the beer (volumes). */
  readonly trueVolumes: number;
  /** The same as the published chart would report it: what a target means. */
  readonly chartVolumes: number;
  readonly topTrueVolumes: number;
  readonly bottomTrueVolumes: number;
  /** What the beer would hold in the end at its CO2 pressure and temperature (true volumes, chart volumes). */
  readonly equilibriumTrueVolumes: number;
  readonly equilibriumChartVolumes: number;
  readonly beerC: number;
  readonly beerTopC: number;
  readonly beerBulkC: number;
  readonly headspaceKpaGauge: number;
  /** Air left in the headspace (kPa). */
  readonly airKpa: number;
  readonly ambientKpaAbsolute: number;
  readonly gasOpen: boolean;
  readonly leaking: boolean;
  readonly lineLeaking: boolean;
  readonly lineKpaGauge: number;
  readonly cylinderKg: number;
  readonly airC: number;
  readonly roomC: number;
  readonly beerL: number;
  /** All CO2 inside, and what came in, went out and was made by yeast since filling (mol). */
  readonly co2: {
    readonly dissolvedMol: number;
    readonly headspaceMol: number;
    readonly inMol: number;
    readonly outMol: number;
    readonly madeMol: number;
  };
}

export function reportKeg(cellar: CellarTruth, kegId: string, nowMs: number): KegReport | null {
  const keg = cellar.kegs.get(kegId);
  const supply = cellar.supplies.get(cellar.plans.get(kegId)?.supplyId ?? '');
  if (keg === undefined || supply === undefined) return null;
  const { around, fridge } = cellar;
  const { column, headspace, traits } = keg;
  const mol = dissolvedMol(column);
  const meanMolPerM3 = mol / column.beerM3;
  const beerC = beerMeanC(keg);
  const co2Pa = co2PressurePa(headspace);
  const gasMol = headspace.co2Mol + headspace.airMol;
  const pressurePa = headspacePa(keg);
  const chartC = celsius(Math.min(40, Math.max(-3, beerC)));
  return {
    kegId,
    atMs: nowMs,
    trueVolumes: volumesOf(meanMolPerM3),
    chartVolumes: chartVolumesOf(meanMolPerM3, beerC, traits.beerFactor),
    topTrueVolumes: volumesOf(at(column.molPerM3, 0)),
    bottomTrueVolumes: volumesOf(at(column.molPerM3, column.molPerM3.length - 1)),
    equilibriumTrueVolumes: volumesOf(equilibriumMolPerM3(beerC, co2Pa, traits.beerFactor)),
    equilibriumChartVolumes: equilibriumVolumes(chartC, kpaAbsolute(Math.min(1000, co2Pa / 1000))),
    beerC,
    beerTopC: keg.beerTopC,
    beerBulkC: keg.beerBulkC,
    headspaceKpaGauge: (pressurePa - around.ambientPa) / 1000,
    airKpa: gasMol > 0 ? (pressurePa / 1000) * (headspace.airMol / gasMol) : 0,
    ambientKpaAbsolute: around.ambientPa / 1000,
    gasOpen: keg.gasOpen,
    leaking: keg.leakM2 > 0,
    lineLeaking: supply.lineLeakM2 > 0,
    lineKpaGauge: (linePa(supply) - around.ambientPa) / 1000,
    cylinderKg: cylinderKg(supply),
    airC: fridge.airC,
    roomC: around.roomC,
    beerL: column.beerM3 * 1000,
    co2: { dissolvedMol: mol, headspaceMol: headspace.co2Mol, ...keg.account },
  };
}

/** Mass of beer per volume (kg/m3). @source measured lager at 6 °C: 1010 (Liger-Belair and Cilindre, ACS Omega 6, 9672, 2021) */
const BEER_KG_PER_M3 = 1010;
const EMPTY_KEG_KG = 4.5;

function beerThermometer(cellar: CellarTruth, keg: KegTruth, probe: ProbeSetup): number {
  const airC = keg.inFridge ? cellar.fridge.airC + keg.traits.airOffsetK : cellar.around.roomC;
  switch (probe.placement ?? 'thermowell') {
    case 'thermowell':
      return 0.1 * keg.beerTopC + 0.9 * keg.beerBulkC;
    case 'wall':
      return keg.wallC + (airC - keg.wallC) * (probe.airShare ?? 0.15);
    case 'air':
      return airC;
  }
}

function pressureKpa(absolutePa: number, cellar: CellarTruth, probe: ProbeSetup): number {
  return (absolutePa - (probe.reference === 'absolute' ? 0 : cellar.around.ambientPa)) / 1000;
}

/** The true value of what a probe measures, in its base unit (°C, kPa, kg); null while there is nothing to measure. */
export function measure(cellar: CellarTruth, probe: ProbeSetup): number | null {
  const keg = probe.of === null ? undefined : cellar.kegs.get(probe.of);
  const supply = probe.of === null ? undefined : cellar.supplies.get(probe.of);
  switch (probe.quantity) {
    case 'beer-temperature':
      return keg === undefined ? null : beerThermometer(cellar, keg, probe);
    case 'headspace-pressure':
      return keg === undefined ? null : pressureKpa(headspacePa(keg), cellar, probe);
    case 'keg-mass': {
      if (keg === undefined) return null;
      const emptyKg = cellar.plans.get(keg.id)?.emptyKegKg ?? EMPTY_KEG_KG;
      const addedKg = 0.0440095 * (keg.account.inMol - keg.account.outMol);
      return emptyKg + keg.column.beerM3 * BEER_KG_PER_M3 + addedKg;
    }
    case 'air-temperature':
    case 'bottle-temperature':
      return cellar.fridge.airC;
    case 'regulator-pressure':
      return supply === undefined ? null : pressureKpa(linePa(supply), cellar, probe);
    case 'cylinder-pressure':
      return supply === undefined ? null : pressureKpa(supply.cylinderPa, cellar, probe);
    case 'cylinder-mass':
      return supply === undefined ? null : cylinderKg(supply);
    case 'ambient-pressure':
      return cellar.around.ambientPa / 1000;
    // A cellar without a room sensor, a purge gauge or a flow meter: nothing is reported.
    case 'purge-pressure':
    case 'room-co2':
    case 'beer-flow':
      return null;
  }
}

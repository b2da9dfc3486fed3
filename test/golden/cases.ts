/** Which physics functions answer each golden table, and how a row of it becomes their input. */
import { beerFluid, rayleighNumber, stillAbsorptionTime, stillTransferVelocity } from '../../src/physics/absorption.ts';
import { airPressureAtAltitude, altitudeOfAirPressure } from '../../src/physics/atmosphere.ts';
import { beerDensity, beerDiffusivity, beerViscosityMpaS } from '../../src/physics/beer.ts';
import { equilibriumPressure, equilibriumVolumes, solubilityVolumesPerKpa } from '../../src/physics/carbonation.ts';
import {
  metricGramsPerLitre,
  polynomialPressure,
  polynomialVolumes,
} from '../../src/physics/carbonation-cross-check.ts';
import {
  fugacityCoefficient,
  gasMoles,
  gramsPerLitreOfVolumes,
  secondVirialCm3PerMol,
  volumesOfGramsPerLitre,
} from '../../src/physics/co2.ts';
import { coolingTimeConstant, timeToTemperature } from '../../src/physics/cooling.ts';
import { co2LiquidDensity, co2VapourDensity, co2VapourPressure } from '../../src/physics/cylinder.ts';
import { alcoholByWeightPercent, beerFreezingPoint, beerFreezingPointByWeight } from '../../src/physics/freezing.ts';
import { bottlePressure } from '../../src/physics/headspace.ts';
import { chokedPressureRatio, leakKgPerSecond } from '../../src/physics/leak.ts';
import { CO2_EXPOSURE_LIMITS } from '../../src/physics/limits.ts';
import { darcyFactor, liftPressure, lineFlow, lineFriction, volumesAfterPour } from '../../src/physics/line.ts';
import {
  co2PerGramOfSugar,
  primingSugarGrams,
  residualVolumes,
  residualVolumesTradeTable,
  type Sugar,
} from '../../src/physics/priming.ts';
import { ratiometricPressure } from '../../src/physics/sensor.ts';
import {
  celsius,
  convert,
  gramsPerLitre,
  kpaAbsolute,
  kpaGauge,
  litres,
  litresPerSecond,
  metres,
  squareMetres,
  toAbsolute,
  volumes,
} from '../../src/physics/units.ts';
import {
  carrollHenryMpa,
  carrollMolPerKgAtm,
  waterDensity,
  waterDiffusivity,
  waterSolubilityMolPerKgAtm,
  waterSolubilityMolPerLAtm,
  waterVapourPressure,
  waterViscosityMpaS,
  waterVolumes,
} from '../../src/physics/water.ts';
import { numberIn, type Row, textIn } from './table.ts';

export interface GoldenCase {
  /** Exported physics functions that this table holds to account. */
  readonly functions: readonly string[];
  readonly compute: (row: Row) => number;
}

const SEA_LEVEL = airPressureAtAltitude(metres(0));

const cel = (row: Row) => celsius(numberIn(row, 'temperatureC'));
const fromF = (row: Row) => celsius(convert(numberIn(row, 'temperatureF'), '[degF]', 'Cel'));
const kpaOfPsi = (row: Row) => kpaGauge(convert(numberIn(row, 'psiGauge'), '[psi]', 'kPa'));
const atSeaLevel = (row: Row) => toAbsolute(kpaOfPsi(row), SEA_LEVEL);
const ofBar = (row: Row) => toAbsolute(kpaGauge(numberIn(row, 'barGauge') * 100), kpaAbsolute(101.3));
const psi = (kpa: number) => convert(kpa, 'kPa', '[psi]');
const holding = (row: Row) => volumes(numberIn(row, 'volumes'));
const sugar = (row: Row) => textIn(row, 'sugar') as Sugar;

/** The lager at 6 °C of the separately computed line table. */
const LAGER = beerFluid(celsius(6));
const bore = (row: Row) => metres(numberIn(row, 'boreMm') / 1000);
/** 2 US fl oz a second: the trade's flow. */
const TRADE_FLOW = litresPerSecond(0.05915);
const psiPerFoot = (kpaPerMetre: number) => psi(kpaPerMetre * 0.3048);

/** The fluid of the separately computed absorption table. */
const STILL_FLUID = { density: 1010, viscosityMpaS: 1.9, diffusivity: 1.1e-9 };
const STILL_DEPTH = metres(0.52);
const stillGap = (row: Row) => volumes(numberIn(row, 'targetVolumes') - numberIn(row, 'startVolumes'));
const molalOfMoleFraction = 1000 / 18.01528;

const coolingConstant = (row: Row) =>
  coolingTimeConstant(numberIn(row, 'kjPerK'), squareMetres(numberIn(row, 'surfaceM2')), numberIn(row, 'wPerM2K'));

const one = (functions: readonly string[], compute: (row: Row) => number): GoldenCase => ({ functions, compute });

const BEER: Readonly<Record<string, GoldenCase>> = {
  'beer-chart': one(['equilibriumVolumes', 'toAbsolute'], (row) => equilibriumVolumes(fromF(row), atSeaLevel(row))),
  'beer-chart-polynomial': one(['polynomialVolumes'], (row) => polynomialVolumes(fromF(row), atSeaLevel(row))),
  'trade-manual-chart': one(['equilibriumPressure'], (row) =>
    psi(equilibriumPressure(holding(row), fromF(row)) - SEA_LEVEL),
  ),
  'trade-manual-chart-polynomial': one(['polynomialPressure'], (row) =>
    psi(polynomialPressure(holding(row), fromF(row))),
  ),
  'metric-chart': one(['metricGramsPerLitre'], (row) => metricGramsPerLitre(cel(row), ofBar(row))),
  'metric-chart-primary': one(['equilibriumVolumes', 'gramsPerLitreOfVolumes'], (row) =>
    gramsPerLitreOfVolumes(equilibriumVolumes(cel(row), ofBar(row))),
  ),
  'polynomial-table': one(['polynomialPressure'], (row) => psi(polynomialPressure(holding(row), fromF(row)))),
  'elevation-chart': one(['equilibriumPressure', 'airPressureAtAltitude'], (row) => {
    const air = airPressureAtAltitude(metres(numberIn(row, 'altitudeFt') * 0.3048));
    return psi(equilibriumPressure(holding(row), fromF(row)) - air);
  }),
  'comparison-primary': one(['equilibriumVolumes'], (row) => equilibriumVolumes(cel(row), atSeaLevel(row))),
  'comparison-polynomial': one(['polynomialVolumes'], (row) => polynomialVolumes(cel(row), atSeaLevel(row))),
  'comparison-metric': one(['metricGramsPerLitre', 'volumesOfGramsPerLitre'], (row) =>
    volumesOfGramsPerLitre(metricGramsPerLitre(cel(row), kpaAbsolute(atSeaLevel(row) - 0.025))),
  ),
  'lager-density': one(['beerDensity'], (row) => beerDensity(cel(row))),
  'lager-viscosity': one(['beerViscosityMpaS'], (row) => beerViscosityMpaS(cel(row))),
  'lager-henry': one(['solubilityVolumesPerKpa'], (row) =>
    gramsPerLitreOfVolumes(volumes(solubilityVolumesPerKpa(cel(row)) * 100)),
  ),
  'drink-diffusivity': one(['beerDiffusivity'], (row) => beerDiffusivity(cel(row)) * 1e9),
  'pour-loss': one(['volumesAfterPour'], (row) =>
    gramsPerLitreOfVolumes(volumesAfterPour(volumesOfGramsPerLitre(gramsPerLitre(numberIn(row, 'gramsPerLitre'))))),
  ),
  'freezing-by-weight': one(['beerFreezingPointByWeight'], (row) =>
    beerFreezingPointByWeight(numberIn(row, 'abwPercent')),
  ),
  'freezing-by-volume': one(['beerFreezingPoint'], (row) => beerFreezingPoint(numberIn(row, 'abvPercent'))),
  'freezing-by-volume-coarse': one(['beerFreezingPoint'], (row) => beerFreezingPoint(numberIn(row, 'abvPercent'))),
  'alcohol-by-weight': one(['alcoholByWeightPercent'], (row) => alcoholByWeightPercent(numberIn(row, 'abvPercent'))),
  'sugar-yield': one(['co2PerGramOfSugar'], (row) => co2PerGramOfSugar(sugar(row))),
  'priming-sugar': one(['primingSugarGrams'], (row) => primingSugarGrams(volumes(1), litres(1), sugar(row))),
  'residual-trade-table': one(['residualVolumesTradeTable'], (row) => residualVolumesTradeTable(cel(row))),
  'residual-quadratic': one(['residualVolumesTradeTable'], (row) => residualVolumesTradeTable(cel(row))),
  'residual-beer': one(['residualVolumes'], (row) => residualVolumes(cel(row), SEA_LEVEL)),
  'bottle-pressure': one(['bottlePressure', 'closedEquilibrium', 'closedVesselMoles'], (row) => {
    const bottle = {
      carbonation: holding(row),
      fillTemperature: celsius(2),
      headspaceRatio: numberIn(row, 'headspaceRatio'),
      headspaceCo2: SEA_LEVEL,
    };
    return psi(bottlePressure(bottle, cel(row)) - SEA_LEVEL);
  }),
};

const WATER: Readonly<Record<string, GoldenCase>> = {
  'weiss-molar': one(['waterSolubilityMolPerLAtm'], (row) => waterSolubilityMolPerLAtm(cel(row))),
  'weiss-molar-half-degrees': one(['waterSolubilityMolPerLAtm'], (row) => waterSolubilityMolPerLAtm(cel(row))),
  'weiss-molal': one(['waterSolubilityMolPerKgAtm'], (row) => waterSolubilityMolPerKgAtm(cel(row))),
  'weiss-molal-half-degrees': one(['waterSolubilityMolPerKgAtm'], (row) => waterSolubilityMolPerKgAtm(cel(row))),
  'carroll-molal-half-degrees': one(['carrollMolPerKgAtm'], (row) => carrollMolPerKgAtm(cel(row))),
  'crc-mole-fraction-weiss': one(['fugacityCoefficient', 'waterSolubilityMolPerKgAtm'], (row) => {
    const co2 = kpaAbsolute(numberIn(row, 'kpaCo2'));
    const molal = waterSolubilityMolPerKgAtm(cel(row)) * (co2 / 101.325) * fugacityCoefficient(cel(row), co2);
    return (1000 * molal) / (molal + molalOfMoleFraction);
  }),
  'crc-mole-fraction-carroll': one(['carrollHenryMpa', 'fugacityCoefficient'], (row) => {
    const co2 = kpaAbsolute(numberIn(row, 'kpaCo2'));
    return (co2 * fugacityCoefficient(cel(row), co2)) / carrollHenryMpa(cel(row));
  }),
  'kaye-laby-bunsen': one(['waterSolubilityMolPerLAtm', 'fugacityCoefficient'], (row) => {
    const phi = fugacityCoefficient(cel(row), kpaAbsolute(101.325));
    return waterSolubilityMolPerLAtm(cel(row)) * phi * 22.263;
  }),
  'sander-hcp': one(['waterSolubilityMolPerLAtm'], (row) => waterSolubilityMolPerLAtm(cel(row)) / 101.325),
  'comparison-water': one(['waterVolumes'], (row) => waterVolumes(cel(row), atSeaLevel(row))),
  'residual-water': one(['waterVolumes'], (row) => waterVolumes(cel(row), SEA_LEVEL)),
  'water-vapour': one(['waterVapourPressure'], (row) => waterVapourPressure(cel(row))),
  'water-density': one(['waterDensity'], (row) => waterDensity(cel(row))),
  'water-viscosity': one(['waterViscosityMpaS'], (row) => waterViscosityMpaS(cel(row))),
  'water-diffusivity': one(['waterDiffusivity'], (row) => waterDiffusivity(cel(row)) * 1e9),
};

const GAS: Readonly<Record<string, GoldenCase>> = {
  'air-pressure-formula': one(['airPressureAtAltitude'], (row) =>
    psi(airPressureAtAltitude(metres(numberIn(row, 'altitudeFt') * 0.3048))),
  ),
  'air-pressure-table': one(['airPressureAtAltitude'], (row) =>
    psi(airPressureAtAltitude(metres(numberIn(row, 'altitudeFt') * 0.3048))),
  ),
  'altitude-of-air-pressure': one(['altitudeOfAirPressure'], (row) =>
    altitudeOfAirPressure(kpaAbsolute(numberIn(row, 'kpaAbsolute'))),
  ),
  'unit-conversions': one(['convert', 'toBaseUnit', 'fromBaseUnit'], (row) =>
    convert(numberIn(row, 'value'), textIn(row, 'from'), textIn(row, 'to')),
  ),
  'co2-mass-of-a-volume': one(['gramsPerLitreOfVolumes'], (row) => gramsPerLitreOfVolumes(holding(row))),
  'co2-molar-volume': one(['gasMoles'], (row) =>
    gasMoles(kpaAbsolute(numberIn(row, 'kpaAbsolute')), litres(numberIn(row, 'litres')), cel(row)),
  ),
  'co2-second-virial': one(['secondVirialCm3PerMol'], (row) => secondVirialCm3PerMol(cel(row))),
  'co2-vapour-pressure': one(['co2VapourPressure'], (row) => co2VapourPressure(cel(row))),
  'co2-vapour-pressure-fit': one(['co2VapourPressure'], (row) => co2VapourPressure(cel(row))),
  'co2-liquid-density-fit': one(['co2LiquidDensity'], (row) => co2LiquidDensity(cel(row))),
  'co2-vapour-density': one(['co2VapourDensity'], (row) => co2VapourDensity(cel(row))),
  'co2-fugacity-in-air': one(['fugacityCoefficient'], (row) => fugacityCoefficient(cel(row), SEA_LEVEL, 0)),
  'co2-liquid-density': one(['co2LiquidDensity'], (row) => co2LiquidDensity(cel(row))),
  'critical-ratio': one(['chokedPressureRatio'], (row) => chokedPressureRatio(numberIn(row, 'heatRatio'))),
  'air-nozzle': one(['leakKgPerSecond'], (row) => {
    const inside = numberIn(row, 'kpaAbsolute');
    const air = { gramsPerMol: 28.9644, heatRatio: 1.4 };
    const flow = leakKgPerSecond(kpaAbsolute(inside), SEA_LEVEL, squareMetres(1e-6), celsius(15), air, 1);
    return (flow * Math.sqrt(288.15)) / (1e-6 * inside * 1000);
  }),
  ratiometric: one(
    ['ratiometricPressure'],
    (row) => ratiometricPressure(numberIn(row, 'volts'), 5, kpaGauge(200)) / 200,
  ),
  'co2-exposure': one([], (row) => {
    const found = CO2_EXPOSURE_LIMITS.find(
      ({ body, limit }) => body === textIn(row, 'body') && limit === textIn(row, 'limit'),
    );
    return found?.ppm ?? Number.NaN;
  }),
};

const FLOW_AND_HEAT: Readonly<Record<string, GoldenCase>> = {
  'line-friction': one(['lineFriction'], (row) => {
    const flow = litresPerSecond(numberIn(row, 'millilitresPerSecond') / 1000);
    return lineFriction(flow, bore(row), LAGER).kpaPerMetre;
  }),
  'line-friction-factor': one(['darcyFactor'], (row) => darcyFactor(numberIn(row, 'reynolds'))),
  'line-flow': one(['lineFlow', 'risingRoot'], (row) => {
    const line = { bore: bore(row), length: metres(10), lift: metres(0), fittings: 0 };
    return lineFlow(kpaGauge(numberIn(row, 'kpaGauge')), line, LAGER).flow * 1000;
  }),
  'line-darcy-us': one(['lineFriction'], (row) => psiPerFoot(lineFriction(TRADE_FLOW, bore(row), LAGER).kpaPerMetre)),
  'line-trade-values': one(['lineFriction'], (row) =>
    psiPerFoot(lineFriction(TRADE_FLOW, bore(row), LAGER).kpaPerMetre),
  ),
  'line-lift': one(['liftPressure'], (row) =>
    psi(liftPressure(metres(0.3048), { density: numberIn(row, 'density'), viscosityMpaS: 1 })),
  ),
  'still-rayleigh': one(['rayleighNumber'], (row) => rayleighNumber(stillGap(row), STILL_DEPTH, STILL_FLUID)),
  'still-velocity': one(['stillTransferVelocity'], (row) =>
    stillTransferVelocity(stillGap(row), STILL_DEPTH, STILL_FLUID, numberIn(row, 'sherwoodConstant')),
  ),
  'still-time': one(['stillAbsorptionTime'], (row) => {
    const start = volumes(numberIn(row, 'startVolumes'));
    const target = volumes(numberIn(row, 'targetVolumes'));
    const constant = numberIn(row, 'sherwoodConstant');
    const share = numberIn(row, 'share');
    return stillAbsorptionTime(start, target, STILL_DEPTH, share, STILL_FLUID, constant) / 86_400;
  }),
  'cooling-time-constant': one(['coolingTimeConstant'], (row) => coolingConstant(row) / 3600),
  'cooling-time': one(['timeToTemperature', 'coolingTimeConstant'], (row) => {
    const goal = celsius(numberIn(row, 'goalC'));
    return timeToTemperature(celsius(20), celsius(2), goal, coolingConstant(row)) / 3600;
  }),
};

export const CASES: Readonly<Record<string, GoldenCase>> = { ...BEER, ...WATER, ...GAS, ...FLOW_AND_HEAT };

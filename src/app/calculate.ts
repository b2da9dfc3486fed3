/** The calculations a brewer asks for: units in, physics, units out, with the cautions that belong to each answer. */
import type { CalculateRequest, CalculateResult } from '../contract/calculate.ts';
import {
  agitatedTransferVelocity,
  beerFluid,
  outgassing,
  stillAbsorption,
  stillAbsorptionTime,
  stirredAbsorption,
} from '../physics/absorption.ts';
import { airPressureAtAltitude, type LocalAir, localAir } from '../physics/atmosphere.ts';
import {
  co2PartialPressure,
  equilibriumPressure,
  equilibriumVolumes,
  totalPressureFor,
} from '../physics/carbonation.ts';
import { gramsPerLitreOfVolumes } from '../physics/co2.ts';
import { coolingTimeConstant, timeToTemperature } from '../physics/cooling.ts';
import { co2VapourPressure } from '../physics/cylinder.ts';
import { beerFreezingPoint, beerFreezingPointByWeight, freezingWarning } from '../physics/freezing.ts';
import { carbonatingGrams, flushingGrams, purgingGrams, pushingGrams } from '../physics/gas-use.ts';
import { bottlePressure } from '../physics/headspace.ts';
import { breakoutPressure, lineFlow, secondsPerBottle } from '../physics/line.ts';
import { primingSugarGrams, residualVolumes, residualVolumesTradeTable } from '../physics/priming.ts';
import { PhysicsRangeError } from '../physics/range.ts';
import { AIR_PRESSURE_SD_KPA, plusMinusVolumes, THERMOMETER_SD_C, TRANSDUCER_SD_KPA } from '../physics/uncertainty.ts';
import {
  type Celsius,
  celsius,
  type KpaAbsolute,
  kpaAbsolute,
  kpaGauge,
  litres,
  type Metres,
  metres,
  pressureToAbsolute,
  STANDARD_ATMOSPHERE_KPA,
  seconds,
  squareMetres,
  toBaseUnit,
  toGauge,
  volumes,
} from '../physics/units.ts';
import { waterSolubilityMolPerKgAtm } from '../physics/water.ts';

export type CalculateOutcome =
  | { readonly ok: true; readonly result: CalculateResult }
  | { readonly ok: false; readonly reason: string };

type What = CalculateRequest['what'];
type Of<T, W extends What> = Extract<T, { what: W }>;

interface Measure {
  readonly value: number;
  readonly unit: string;
}

const degrees = ({ value, unit }: Measure): Celsius => celsius(toBaseUnit(value, unit));
const length = ({ value, unit }: Measure): Metres => metres(toBaseUnit(value, unit));
const pressure = ({ value, unit }: Measure): number => toBaseUnit(value, unit);

interface AirEntry {
  readonly altitude?: Measure | undefined;
  readonly airPressure?: Measure | undefined;
}

interface HeadspaceEntry extends AirEntry {
  readonly pressure?: Measure | undefined;
  readonly pressureAbsolute?: Measure | undefined;
  readonly airLeft?: Measure | undefined;
  readonly co2Ratio: number;
}

function airOf({ altitude, airPressure }: AirEntry): LocalAir {
  return localAir(
    airPressure === undefined ? null : kpaAbsolute(pressure(airPressure)),
    altitude === undefined ? null : length(altitude),
  );
}

/** Says that sea level was assumed, and what that is worth. A thousand metres take 11.5 kPa off the air pressure. */
const assumedNote = (air: LocalAir, worth: string): string[] =>
  air.from === 'assumed-sea-level' ? [`No altitude given, so sea level is assumed. ${worth}`] : [];
const LESS_IN_BEER = 'At 1,000 m the same gauge reading means about 0.16 volumes less in cold beer.';
const MORE_ON_GAUGE = 'At 1,000 m the gauge shows about 11 kPa (1.7 psi) more for the same.';

interface Headspace {
  readonly co2: KpaAbsolute;
  /** Null if the pressure was given as absolute: then the air outside does not matter. */
  readonly air: LocalAir | null;
}

function headspaceOf(entry: HeadspaceEntry): Headspace {
  const airLeft = kpaAbsolute(entry.airLeft === undefined ? 0 : pressure(entry.airLeft));
  if (entry.pressure !== undefined) {
    const air = airOf(entry);
    const total = pressureToAbsolute(entry.pressure.value, entry.pressure.unit, 'gauge', air.ambient);
    return { co2: co2PartialPressure(total, airLeft, entry.co2Ratio), air };
  }
  // The schema lets exactly one of the two through.
  const total = kpaAbsolute(entry.pressureAbsolute === undefined ? 0 : pressure(entry.pressureAbsolute));
  return { co2: co2PartialPressure(total, airLeft, entry.co2Ratio), air: null };
}

/** Limits of an instrument to a standard deviation: evenly likely between them. @source GUM 4.3.7 */
const sdOfLimits = (plusMinus: number): number => plusMinus / Math.sqrt(3);

const CHART_NOTE =
  'Chart volumes: what pressure and temperature tell of an average beer. A particular beer can differ by 2 or 3 %.';
const MIXED_NOTE = 'Mixed gas: only its share of CO2 counts. Serving pressure and carbonation no longer go together.';
const WARM_NOTE = 'Above 16 °C (60 °F) the published chart ends, so this is extrapolated.';

const warmNote = (temperature: Celsius): string[] => (temperature > 16 ? [WARM_NOTE] : []);
const mixedNote = (co2Ratio: number): string[] => (co2Ratio < 1 ? [MIXED_NOTE] : []);

function equilibrium(request: Of<CalculateRequest, 'equilibrium'>) {
  const temperature = degrees(request.temperature);
  const { co2, air } = headspaceOf(request);
  const held = equilibriumVolumes(temperature, co2);
  const { temperaturePlusMinusC, pressurePlusMinusKpa, co2Ratio } = request;
  const sd = {
    temperatureC: temperaturePlusMinusC === undefined ? THERMOMETER_SD_C : sdOfLimits(temperaturePlusMinusC),
    gaugeKpa: pressurePlusMinusKpa === undefined ? TRANSDUCER_SD_KPA : sdOfLimits(pressurePlusMinusKpa),
    airKpa: air === null ? 0 : AIR_PRESSURE_SD_KPA[air.from],
  };
  return {
    volumes: held,
    gramsPerLitre: gramsPerLitreOfVolumes(held),
    plusMinusVolumes: plusMinusVolumes(temperature, co2, co2Ratio, sd),
    notes: [
      'What the beer holds in the end, not what it holds now.',
      CHART_NOTE,
      ...(air === null ? [] : assumedNote(air, LESS_IN_BEER)),
      ...mixedNote(co2Ratio),
      ...warmNote(temperature),
    ],
  };
}

function pressureFor(request: Of<CalculateRequest, 'pressure-for'>) {
  const temperature = degrees(request.temperature);
  const air = airOf(request);
  const airLeft = kpaAbsolute(request.airLeft === undefined ? 0 : pressure(request.airLeft));
  const co2 = equilibriumPressure(volumes(request.volumes), temperature);
  const gauge = toGauge(totalPressureFor(co2, airLeft, request.co2Ratio), air.ambient);
  return {
    kpaGauge: gauge,
    notes: [
      'Stay within what is stamped on the keg, the regulator and the hoses.',
      CHART_NOTE,
      ...(gauge < 0
        ? ['Below the air pressure: no regulator can set this. The beer would lose CO2 in an open vessel.']
        : []),
      ...assumedNote(air, MORE_ON_GAUGE),
      ...mixedNote(request.co2Ratio),
      ...warmNote(temperature),
    ],
  };
}

function freezing({ abvPercent, alcoholByWeightPercent, probePlusMinusC }: Of<CalculateRequest, 'freezing-point'>) {
  const point =
    alcoholByWeightPercent === undefined
      ? beerFreezingPoint(abvPercent ?? 0)
      : beerFreezingPointByWeight(alcoholByWeightPercent);
  return {
    celsius: point,
    warnCelsius: freezingWarning(point, probePlusMinusC),
    notes: [
      'From the alcohol alone: extract lowers it a little further, so this is the warm, safe end.',
      'The fridge is coldest at its wall and coil. Freezing beer can burst kegs, lines and bottles.',
    ],
  };
}

function line(request: Of<CalculateRequest, 'line-flow'>) {
  const temperature = degrees(request.temperature);
  const shape = {
    bore: metres(request.boreMm / 1000),
    length: length(request.length),
    lift: length(request.lift),
    fittings: request.fittings,
  };
  const { flow, reynolds, regime } = lineFlow(kpaGauge(pressure(request.pressure)), shape, beerFluid(temperature));
  const air = airOf(request);
  const breakout =
    request.volumes === undefined ? null : breakoutPressure(volumes(request.volumes), temperature, air.ambient);
  const bottle = request.bottle === undefined ? null : litres(toBaseUnit(request.bottle.value, request.bottle.unit));
  const foams = breakout !== null && breakout > pressure(request.pressure);
  return {
    millilitresPerSecond: flow * 1000,
    reynolds,
    regime,
    secondsPerBottle: bottle === null || flow === 0 ? null : secondsPerBottle(bottle, flow),
    breakoutKpaGauge: breakout,
    notes: [
      ...(request.fittings === 0 ? ['Coupler, fittings and tap are not counted: the real flow is less.'] : []),
      ...(regime === 'transition' ? ['Between laminar and turbulent the flow can jump; this is the middle.'] : []),
      ...(regime === 'none' ? ['This pressure does not lift the beer to the outlet.'] : []),
      ...(foams
        ? ['The pressure is below what holds the CO2 in this beer: it will break out in the line and foam.']
        : []),
      ...(breakout === null ? [] : assumedNote(air, MORE_ON_GAUGE)),
    ],
  };
}

const GLASS_NOTES = [
  'New beer bottles are proof-tested at about 1,000 to 1,600 kPa, and a safety factor of 3 to 5 is usual: a scratched, old or reused bottle holds far less. Ask the maker of your bottles for their limit and stay below it.',
  'Never fill thin or non-pressure glass. Wear eye protection; cover and chill bottles that may be over-pressured before you touch them.',
  'Sugar or yeast left in the beer raises the pressure beyond this.',
];

function bottle(request: Of<CalculateRequest, 'bottle-pressure'>) {
  const air = airOf(request);
  const temperature = degrees(request.temperature);
  const capped = {
    carbonation: volumes(request.volumes),
    fillTemperature: degrees(request.fillTemperature),
    headspaceRatio: request.headspaceRatio,
    // Capped on foam: one atmosphere of CO2 in the headspace.
    headspaceCo2: kpaAbsolute(STANDARD_ATMOSPHERE_KPA),
  };
  return {
    kpaGauge: toGauge(bottlePressure(capped, temperature), air.ambient),
    notes: [...GLASS_NOTES, ...warmNote(temperature), ...assumedNote(air, MORE_ON_GAUGE)],
  };
}

function priming(request: Of<CalculateRequest, 'priming-sugar'>) {
  const air = airOf(request);
  const fermented = request.fermentedAt === undefined ? null : degrees(request.fermentedAt);
  const already = fermented === null ? null : residualVolumes(fermented, air.ambient);
  const tradeTable =
    fermented === null || fermented < 0 || fermented > 26.7 ? null : residualVolumesTradeTable(fermented);
  return {
    grams: primingSugarGrams(volumes(request.volumes), litres(request.litres), request.sugar),
    addedVolumes: request.volumes,
    alreadyInVolumes: already,
    totalVolumes: already === null ? null : already + request.volumes,
    tradeTableVolumes: tradeTable,
    notes: [
      'Volumes to ADD: take off what the beer holds already.',
      ...(already === null
        ? []
        : [
            'The published table of CO2 after fermentation is for pure water, about 5 % too high for beer.',
            ...assumedNote(air, 'At 1,000 m beer holds about a tenth less.'),
          ]),
      'The beer must be fully fermented: sugar left in it makes CO2 as well, and bottles burst. Weigh the sugar and mix it in evenly.',
      'Use bottles made for the pressure and stay below their maker’s limit.',
    ],
  };
}

function gasBudget(request: Of<CalculateRequest, 'gas-budget'>) {
  const air = airOf(request);
  const temperature = degrees(request.temperature);
  const beer = litres(request.litres);
  const push = pressureToAbsolute(request.pressure.value, request.pressure.unit, 'gauge', air.ambient);
  const purge = request.purgePressure ?? request.pressure;
  const purgeAbsolute = pressureToAbsolute(purge.value, purge.unit, 'gauge', air.ambient);
  const grams = {
    carbonateGrams: carbonatingGrams(volumes(request.fromVolumes), volumes(request.volumes), beer),
    pushGrams: pushingGrams(beer, push, temperature),
    flushGrams: flushingGrams(litres(request.flushLitres), request.flushChanges, air.ambient, temperature),
    purgeGrams: purgingGrams(litres(request.headspaceLitres), purgeAbsolute, air.ambient, request.purges, temperature),
  };
  return {
    ...grams,
    totalGrams: grams.carbonateGrams + grams.pushGrams + grams.flushGrams + grams.purgeGrams,
    notes: [
      'Leaks and gas vented otherwise come on top. Weigh the cylinder: its gauge does not show what is left while there is liquid in it.',
      'CO2 displaces air and settles low: use it where there is ventilation, and follow local rules.',
      ...assumedNote(air, 'At 1,000 m it takes a little less.'),
    ],
  };
}

function absorption(request: Of<CalculateRequest, 'absorption'>) {
  const temperature = degrees(request.temperature);
  const { co2, air } = headspaceOf(request);
  const end = equilibriumVolumes(temperature, co2);
  const start = volumes(request.volumes);
  const depth = length(request.depth);
  const fluid = beerFluid(temperature);
  const elapsed = seconds(request.hours * 3600);
  const notes = [
    'An estimate, good to a factor of 2 in time. Only a gas check, a weighing or a sample tells what is in the beer.',
    ...(air === null ? [] : assumedNote(air, LESS_IN_BEER)),
    ...mixedNote(request.co2Ratio),
  ];
  const gap = volumes(Math.abs(end - start));
  const velocity = agitatedTransferVelocity(request.how, gap, depth, fluid);
  if (start > end) {
    const after = outgassing(start, end, depth, elapsed, velocity);
    return { equilibriumVolumes: end, volumesAfter: after, hoursToNinetyPercent: null, notes };
  }
  const still = request.how === 'still';
  const after = still
    ? stillAbsorption(start, end, depth, elapsed, fluid)
    : stirredAbsorption(start, end, depth, elapsed, velocity);
  // Less than this is no way to go at all.
  if (gap < 1e-6) return { equilibriumVolumes: end, volumesAfter: after, hoursToNinetyPercent: 0, notes };
  const ninetyS = still ? stillAbsorptionTime(start, end, depth, 0.9, fluid) : (depth / velocity) * Math.log(10);
  return { equilibriumVolumes: end, volumesAfter: after, hoursToNinetyPercent: ninetyS / 3600, notes };
}

/** A full 19 L keg: 80 kJ/K and 0.453 m²; others by their volume and its power of two thirds. */
function guessedTimeConstantHours(sizeL: number): number {
  const share = sizeL / 19;
  return coolingTimeConstant(80 * share, squareMetres(0.453 * Math.cbrt(share) ** 2), 7) / 3600;
}

function cooling(request: Of<CalculateRequest, 'cooling'>) {
  const { timeConstantHours, litres: size } = request;
  const hours = timeConstantHours ?? guessedTimeConstantHours(size ?? 19);
  const tau = seconds(hours * 3600);
  const elapsed = timeToTemperature(
    degrees(request.temperature),
    degrees(request.surroundings),
    degrees(request.goal),
    tau,
  );
  return {
    hours: elapsed / 3600,
    timeConstantHours: hours,
    notes:
      timeConstantHours === undefined
        ? ['The time constant is a guess for a keg in a fridge without a fan, good to a factor of 1.5.']
        : [],
  };
}

function waterSolubility({ temperature }: Of<CalculateRequest, 'water-solubility'>) {
  return {
    molPerKgAtm: waterSolubilityMolPerKgAtm(degrees(temperature)),
    notes: ['Pure water, per atmosphere of fugacity. Beer holds 4 to 6 % less.'],
  };
}

function cylinderPressure({ temperature }: Of<CalculateRequest, 'co2-vapour-pressure'>) {
  return {
    kpaAbsolute: co2VapourPressure(degrees(temperature)),
    notes: [
      'The pressure in a cylinder as long as liquid is left: it shows the temperature, not the content. Weigh it.',
      'Keep cylinders upright, fastened and away from heat.',
    ],
  };
}

function airPressure({ altitude }: Of<CalculateRequest, 'air-pressure'>) {
  return {
    kpaAbsolute: airPressureAtAltitude(length(altitude)),
    notes: ['Weather moves it by about 2 kPa around this. A barometer is better.'],
  };
}

function answer(request: CalculateRequest): CalculateResult {
  switch (request.what) {
    case 'equilibrium':
      return { what: request.what, ...equilibrium(request) };
    case 'pressure-for':
      return { what: request.what, ...pressureFor(request) };
    case 'water-solubility':
      return { what: request.what, ...waterSolubility(request) };
    case 'freezing-point':
      return { what: request.what, ...freezing(request) };
    case 'co2-vapour-pressure':
      return { what: request.what, ...cylinderPressure(request) };
    case 'air-pressure':
      return { what: request.what, ...airPressure(request) };
    case 'line-flow':
      return { what: request.what, ...line(request) };
    case 'bottle-pressure':
      return { what: request.what, ...bottle(request) };
    case 'priming-sugar':
      return { what: request.what, ...priming(request) };
    case 'gas-budget':
      return { what: request.what, ...gasBudget(request) };
    case 'absorption':
      return { what: request.what, ...absorption(request) };
    case 'cooling':
      return { what: request.what, ...cooling(request) };
  }
}

/** Answers a parsed request. What physics refuses is a value with its reason, not an exception. */
export function calculate(request: CalculateRequest): CalculateOutcome {
  try {
    return { ok: true, result: answer(request) };
  } catch (error) {
    if (error instanceof PhysicsRangeError) return { ok: false, reason: error.message };
    throw error;
  }
}

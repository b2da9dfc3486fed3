/**
 * Physics functions for which no published table was found, with what checks them instead and where.
 * The file named must exist and must name the function.
 */
export interface OtherCheck {
  readonly check: string;
  readonly file: string;
}

const inverse = (of: string): string => `inverse of ${of}: there and back`;

export const OTHERWISE_CHECKED: Readonly<Record<string, OtherCheck>> = {
  within: { check: 'refuses outside, not finite, and nothing else', file: 'test/physics/range.test.ts' },
  finite: { check: 'refuses what is not finite', file: 'test/physics/range.test.ts' },
  dimensionOf: { check: 'against a general-purpose UCUM library', file: 'test/physics/independent.test.ts' },
  unitsOf: { check: 'against a general-purpose UCUM library', file: 'test/physics/independent.test.ts' },
  toKelvin: { check: 'against a general-purpose UCUM library', file: 'test/physics/independent.test.ts' },
  toGauge: { check: inverse('toAbsolute'), file: 'test/physics/properties.test.ts' },
  pressureToAbsolute: {
    check: 'gauge and absolute told apart, wrong dimension refused',
    file: 'test/physics/traps.test.ts',
  },
  localAir: { check: 'order of preference', file: 'test/physics/atmosphere.test.ts' },
  co2PartialPressure: { check: 'closed form of Dalton’s law', file: 'test/physics/carbonation.test.ts' },
  totalPressureFor: { check: inverse('co2PartialPressure'), file: 'test/physics/properties.test.ts' },
  equilibriumTemperature: { check: inverse('equilibriumVolumes'), file: 'test/physics/properties.test.ts' },
  metricPressure: { check: inverse('metricGramsPerLitre'), file: 'test/physics/properties.test.ts' },
  solubilityChangePerCelsius: { check: 'against a difference quotient', file: 'test/physics/uncertainty.test.ts' },
  equilibriumSensitivity: { check: 'against difference quotients', file: 'test/physics/uncertainty.test.ts' },
  plusMinusVolumes: {
    check: 'against a seeded Monte Carlo of the same errors',
    file: 'test/physics/uncertainty.test.ts',
  },
  plusMinusTrueVolumes: { check: 'closed form, from the part it adds', file: 'test/physics/uncertainty.test.ts' },
  beerFluid: {
    check: 'is beerDensity, beerViscosityMpaS and beerDiffusivity',
    file: 'test/physics/absorption.test.ts',
  },
  transferTemperatureFactor: {
    check: 'against the ratio of transfer velocities',
    file: 'test/physics/absorption.test.ts',
  },
  stillAbsorption: { check: 'against a general-purpose ODE solver', file: 'test/physics/independent.test.ts' },
  stirredAbsorption: { check: 'against a general-purpose ODE solver', file: 'test/physics/independent.test.ts' },
  outgassing: { check: 'against a general-purpose ODE solver', file: 'test/physics/independent.test.ts' },
  stepClosedVessel: { check: 'against a general-purpose ODE solver', file: 'test/physics/independent.test.ts' },
  agitatedTransferVelocity: { check: 'times practice gives', file: 'test/physics/absorption.test.ts' },
  outgassingFactor: { check: 'its three pieces meet', file: 'test/physics/absorption.test.ts' },
  absorptionGap: { check: 'sign at, above and below equilibrium', file: 'test/physics/headspace.test.ts' },
  relaxTemperature: { check: inverse('timeToTemperature'), file: 'test/physics/properties.test.ts' },
  timeConstantFromReadings: { check: inverse('relaxTemperature'), file: 'test/physics/properties.test.ts' },
  kegHeatCapacity: { check: 'the 80 kJ/K of the cooling table', file: 'test/physics/cooling.test.ts' },
  kegSurface: { check: 'closed form', file: 'test/physics/cooling.test.ts' },
  freezingWarning: { check: 'margins of the published tables', file: 'test/physics/freezing.test.ts' },
  secondsPerBottle: { check: 'closed form', file: 'test/physics/line.test.ts' },
  breakoutPressure: { check: inverse('equilibriumVolumes'), file: 'test/physics/line.test.ts' },
  cylinderContent: { check: 'closed form', file: 'test/physics/cylinder.test.ts' },
  cylinderState: { check: 'lever rule conserves the mass', file: 'test/physics/cylinder.test.ts' },
  carbonatingGrams: { check: 'closed form', file: 'test/physics/gas-use.test.ts' },
  pushingGrams: { check: 'published gas density', file: 'test/physics/gas-use.test.ts' },
  flushingGrams: { check: 'published gas density', file: 'test/physics/gas-use.test.ts' },
  airAfterFlushing: { check: 'against many small dilutions', file: 'test/physics/gas-use.test.ts' },
  purgingGrams: { check: 'published gas density', file: 'test/physics/gas-use.test.ts' },
  airAfterPurges: { check: 'closed form', file: 'test/physics/gas-use.test.ts' },
};

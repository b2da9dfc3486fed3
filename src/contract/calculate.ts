/** What `quietkeg calculate` and POST /calculate take and give. Values carry UCUM units; pressures are gauge unless named. */
import { z } from 'zod';

export const MEASURE_UNITS = {
  temperature: ['Cel', 'K', '[degF]'],
  pressure: ['kPa', 'Pa', 'bar', 'mbar', 'hPa', 'MPa', '[psi]', 'atm', 'mm[Hg]'],
  length: ['m', 'cm', 'mm', '[in_i]', '[ft_i]'],
  volume: ['L', 'mL', 'hL', 'm3', '[gal_us]', '[foz_us]'],
} as const;
type MeasureDimension = keyof typeof MEASURE_UNITS;

function measure<const D extends MeasureDimension>(dimension: D, meaning: string) {
  const units = MEASURE_UNITS[dimension];
  const choice = `a ${dimension} needs a number and one of the units ${units.join(', ')}`;
  return z
    .strictObject(
      {
        value: z.number({ error: choice }),
        unit: z.enum(units as (typeof MEASURE_UNITS)[D], {
          error: ({ input }) => (input === undefined ? choice : `${JSON.stringify(input)} will not do: ${choice}`),
        }),
      },
      { error: ({ code }) => (code === 'invalid_type' ? choice : undefined) },
    )
    .describe(meaning);
}

const number = (meaning: string) =>
  z.number({ error: `a plain number without a unit is needed: ${meaning}` }).describe(meaning);

const temperature = measure('temperature', 'Temperature of the beer');
const volumes = number('Volumes of CO2, litres of gas at 0 °C and 101.325 kPa per litre of beer');
const litres = number('Litres of beer');

/** The local air pressure: by altitude or by barometer; neither is taken as sea level, and said. */
const air = {
  altitude: measure('length', 'Altitude above sea level').optional(),
  airPressure: measure('pressure', 'Local air pressure of a barometer, absolute, not reduced to sea level').optional(),
};
const gas = {
  co2Ratio: number('Share of CO2 in the gas, 1 for pure CO2').default(1),
  airLeft: measure('pressure', 'Partial pressure of air left in the headspace, absolute').optional(),
};
const headspace = {
  pressure: measure('pressure', 'Gauge pressure in the headspace').optional(),
  pressureAbsolute: measure('pressure', 'Absolute pressure in the headspace, instead of `pressure`').optional(),
};

interface AirChoice {
  readonly altitude?: unknown;
  readonly airPressure?: unknown;
}
interface PressureChoice extends AirChoice {
  readonly pressure?: unknown;
  readonly pressureAbsolute?: unknown;
}

const oneAir = (request: AirChoice) => request.altitude === undefined || request.airPressure === undefined;
const ONE_AIR = { message: 'give altitude or airPressure, not both', path: ['airPressure'] };
const onePressure = (request: PressureChoice) =>
  (request.pressure === undefined) !== (request.pressureAbsolute === undefined);
const ONE_PRESSURE = { message: 'give pressure (gauge) or pressureAbsolute, one of them', path: ['pressure'] };

export const CalculateRequest = z.discriminatedUnion('what', [
  z
    .strictObject({
      what: z.literal('equilibrium'),
      temperature,
      ...headspace,
      ...air,
      ...gas,
      temperaturePlusMinusC: number('How far the thermometer can be off, °C; 0.5 if left out').optional(),
      pressurePlusMinusKpa: number('How far the gauge can be off, kPa; 3.6 if left out').optional(),
    })
    .refine(onePressure, ONE_PRESSURE)
    .refine(oneAir, ONE_AIR),
  z.strictObject({ what: z.literal('pressure-for'), volumes, temperature, ...air, ...gas }).refine(oneAir, ONE_AIR),
  z.strictObject({
    what: z.literal('water-solubility'),
    temperature: measure('temperature', 'Temperature of the water'),
  }),
  z
    .strictObject({
      what: z.literal('freezing-point'),
      abvPercent: number('Alcohol, percent by volume').optional(),
      alcoholByWeightPercent: number('Alcohol, percent by weight, instead of abvPercent').optional(),
      probePlusMinusC: number('How far the thermometer can be off, °C').default(0.5),
    })
    .refine(
      ({ abvPercent, alcoholByWeightPercent }) => (abvPercent === undefined) !== (alcoholByWeightPercent === undefined),
      {
        message: 'give abvPercent or alcoholByWeightPercent, one of them',
        path: ['abvPercent'],
      },
    ),
  z.strictObject({
    what: z.literal('co2-vapour-pressure'),
    temperature: measure('temperature', 'Temperature of the cylinder'),
  }),
  z.strictObject({ what: z.literal('air-pressure'), altitude: measure('length', 'Altitude above sea level') }),
  z
    .strictObject({
      what: z.literal('line-flow'),
      pressure: measure('pressure', 'Gauge pressure in the keg'),
      boreMm: number('Inner diameter of the line, mm'),
      length: measure('length', 'Length of the line'),
      lift: measure('length', 'How much higher the outlet is than the beer; negative if lower').default({
        value: 0,
        unit: 'm',
      }),
      temperature,
      fittings: number('Loss of coupler, fittings and tap, sum of velocity heads').default(0),
      bottle: measure('volume', 'Size of a bottle, for the time to fill it').optional(),
      volumes: volumes.optional(),
      ...air,
    })
    .refine(oneAir, ONE_AIR),
  z
    .strictObject({
      what: z.literal('bottle-pressure'),
      volumes,
      fillTemperature: measure('temperature', 'Temperature of the beer when capped'),
      temperature: measure('temperature', 'Temperature that the bottle reaches'),
      headspaceRatio: number('Headspace over beer volume').default(0.04),
      ...air,
    })
    .refine(oneAir, ONE_AIR),
  z
    .strictObject({
      what: z.literal('priming-sugar'),
      volumes: volumes.describe('Volumes of CO2 to ADD'),
      litres,
      sugar: z.enum(['sucrose', 'dextrose', 'dextrose-monohydrate']),
      fermentedAt: measure('temperature', 'Highest temperature since fermentation ended').optional(),
      ...air,
    })
    .refine(oneAir, ONE_AIR),
  z
    .strictObject({
      what: z.literal('gas-budget'),
      litres,
      volumes: volumes.describe('Wished carbonation'),
      fromVolumes: volumes.describe('Carbonation at the start').default(0.85),
      temperature,
      pressure: measure('pressure', 'Gauge pressure at which the beer is pushed out'),
      flushLitres: number('Empty space to flush, litres: bottles, a keg').default(0),
      flushChanges: number('Times its volume of gas to flush it with').default(5),
      headspaceLitres: number('Headspace to purge by pressing and venting, litres').default(0),
      purges: number('How many times').default(0),
      purgePressure: measure('pressure', 'Gauge pressure of a purge').optional(),
      ...air,
    })
    .refine(oneAir, ONE_AIR),
  z
    .strictObject({
      what: z.literal('absorption'),
      volumes: volumes.describe('Carbonation at the start'),
      temperature,
      ...headspace,
      ...air,
      ...gas,
      depth: measure('length', 'Beer volume over its surface: the depth in an upright keg'),
      how: z.enum(['still', 'stone', 'shaken']).default('still'),
      hours: number('Hours after which to tell the carbonation').default(24),
    })
    .refine(onePressure, ONE_PRESSURE)
    .refine(oneAir, ONE_AIR),
  z
    .strictObject({
      what: z.literal('cooling'),
      temperature,
      surroundings: measure('temperature', 'Temperature around the keg'),
      goal: measure('temperature', 'Temperature to reach'),
      timeConstantHours: number('Time constant of the keg; measured is best').optional(),
      litres: litres.describe('Litres in the keg, to guess the time constant from').optional(),
    })
    .refine(({ timeConstantHours, litres: size }) => (timeConstantHours === undefined) !== (size === undefined), {
      message: 'give timeConstantHours or litres, one of them',
      path: ['timeConstantHours'],
    }),
]);
export type CalculateRequest = z.infer<typeof CalculateRequest>;
export type CalculateWhat = CalculateRequest['what'];

export const CALCULATE_WHATS = CalculateRequest.options.map(
  (option) => option.shape.what.value,
) as readonly CalculateWhat[];

/** What `quietkeg chart` draws. */
export const ChartRequest = z.strictObject({
  altitude: measure('length', 'Altitude above sea level').optional(),
  units: z.enum(['metric', 'us'], { error: 'use metric or us' }).default('metric'),
});
export type ChartRequest = z.infer<typeof ChartRequest>;

const notes = z.array(z.string()).describe('Cautions and limits, plain sentences');
const result = <W extends CalculateWhat, S extends z.ZodRawShape>(what: W, shape: S) =>
  z.object({ what: z.literal(what), ...shape, notes });

export const CalculateResult = z.discriminatedUnion('what', [
  result('equilibrium', {
    volumes: z.number().describe('What the beer would hold in the end'),
    gramsPerLitre: z.number(),
    plusMinusVolumes: z.number().describe('Half width of the 90 % interval, in chart volumes'),
  }),
  result('pressure-for', { kpaGauge: z.number() }),
  result('water-solubility', { molPerKgAtm: z.number().describe('Weiss K0 per atm of fugacity, salinity 0') }),
  result('freezing-point', { celsius: z.number(), warnCelsius: z.number().describe('Reading at which to warn') }),
  result('co2-vapour-pressure', { kpaAbsolute: z.number() }),
  result('air-pressure', { kpaAbsolute: z.number() }),
  result('line-flow', {
    millilitresPerSecond: z.number(),
    reynolds: z.number(),
    regime: z.enum(['none', 'laminar', 'transition', 'turbulent']),
    secondsPerBottle: z.number().nullable(),
    breakoutKpaGauge: z.number().nullable().describe('Keg pressure below which the beer gives off gas in the line'),
  }),
  result('bottle-pressure', { kpaGauge: z.number() }),
  result('priming-sugar', {
    grams: z.number(),
    addedVolumes: z.number().describe('What this sugar adds'),
    alreadyInVolumes: z.number().nullable().describe('Left from fermentation, by the beer formula'),
    totalVolumes: z.number().nullable().describe('In the bottle in the end: what was added and what was left'),
    tradeTableVolumes: z.number().nullable().describe('The same by the published table, which is pure water'),
  }),
  result('gas-budget', {
    carbonateGrams: z.number(),
    pushGrams: z.number(),
    flushGrams: z.number(),
    purgeGrams: z.number(),
    totalGrams: z.number(),
  }),
  result('absorption', {
    equilibriumVolumes: z.number(),
    volumesAfter: z.number(),
    hoursToNinetyPercent: z.number().nullable().describe('Until nine tenths of the way; null if it gives off gas'),
  }),
  result('cooling', { hours: z.number(), timeConstantHours: z.number() }),
]);
export type CalculateResult = z.infer<typeof CalculateResult>;

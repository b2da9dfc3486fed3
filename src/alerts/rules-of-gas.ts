import type { RuleName, ShippedRule } from './rule.ts';
import { HOUR_MS, MINUTE_MS, OF_READINGS, OF_STATES, PRACTICE } from './rules-of-beer.ts';

type GasRule = Extract<
  RuleName,
  | 'pressure-falling'
  | 'leak'
  | 'regulator-creeping'
  | 'cylinder-low'
  | 'over-working-pressure'
  | 'room-co2-long'
  | 'room-co2-short'
  | 'room-co2-danger'
>;

const NO_SAFETY_DEVICE =
  'Quietkeg is no safety device: have a certified CO2 alarm, and keep to the rules and codes of your place.';

/** Limits for CO2 in air, as `physics/limits` has them with their standing. */
const CO2_BODIES = {
  long: 'OSHA PEL, NIOSH REL, ACGIH TLV-TWA (as listed by NIOSH 1994), HSE EH40 and EU 2006/15/EC: 5,000 ppm over 8 h.',
  short: 'HSE EH40: 15,000 ppm over 15 min (seen in a text that quotes it).',
  danger:
    'NIOSH and ACGIH: 30,000 ppm over 15 min; NIOSH names 40,000 ppm as immediately dangerous. Told here at the first reading.',
} as const;

/** Rules about the gas: its way to the kegs, its pressure, and the air of the room. */
export const GAS_RULES: Readonly<Record<GasRule, ShippedRule>> = {
  'pressure-falling': {
    ...OF_STATES,
    name: 'pressure-falling',
    title: 'Pressure falls with the gas on',
    level: 'attention',
    onDelayMs: 20 * MINUTE_MS,
    offDelayMs: HOUR_MS,
    limits: {
      belowKpa: { usual: 20, unit: 'kPa', low: 5, high: 100, what: 'a regulator probe this far below its setting' },
      endBelowKpa: { usual: 10, unit: 'kPa', low: 1, high: 90, what: 'ends when it is closer than this' },
    },
    cause: 'The cylinder is empty, a valve is shut, or the regulator gives less than was entered.',
    consequence: 'The beer takes up no more gas and slowly goes flat; it foams when it is served.',
    action: 'Look at the cylinder, its valve and the regulator. If you shut a valve, enter it.',
    timeToAct: 'A day.',
    source: PRACTICE,
  },
  leak: {
    ...OF_STATES,
    name: 'leak',
    title: 'Leak',
    level: 'attention',
    onDelayMs: 30 * MINUTE_MS,
    offDelayMs: 12 * HOUR_MS,
    limits: {
      probabilityMin: { usual: 0.9, unit: '1', low: 0.2, high: 0.99, what: 'gas closed: how likely a leak must be' },
      probabilityEnd: { usual: 0.3, unit: '1', low: 0.02, high: 0.9, what: 'ends where it is less likely than this' },
      kgPerDay: {
        usual: 0.25,
        unit: 'kg/d',
        low: 0.05,
        high: 5,
        what: 'gas on: a cylinder that loses this much in a day',
      },
    },
    cause: 'A lid, post, hose or joint is not tight.',
    consequence: 'The cylinder runs empty, the beer goes flat, and CO2 gathers in the room.',
    action: 'Air the room. Brush lid, posts and joints with soapy water and look for bubbles.',
    timeToAct: 'Today; at once in a small or low room.',
    source: PRACTICE,
  },
  'regulator-creeping': {
    ...OF_STATES,
    name: 'regulator-creeping',
    title: 'Regulator creeps up',
    level: 'attention',
    onDelayMs: HOUR_MS,
    offDelayMs: 6 * HOUR_MS,
    limits: {
      aboveKpa: { usual: 10, unit: 'kPa', low: 3, high: 100, what: 'pressure this far above what it held before' },
      aboveSettingKpa: {
        usual: 15,
        unit: 'kPa',
        low: 5,
        high: 200,
        what: 'pressure this far above the setting entered',
      },
      deadbandKpa: { usual: 4, unit: 'kPa', low: 0, high: 50, what: 'ends this much lower' },
    },
    cause: 'The seat of the regulator is worn or dirty and lets gas pass.',
    consequence: 'The beer is carbonated past its window; in the end the relief valve opens.',
    action: 'Turn it down and watch. If it goes on, close the cylinder and have the regulator repaired.',
    timeToAct: 'Hours to a day.',
    source: PRACTICE,
  },
  'cylinder-low': {
    ...OF_READINGS,
    name: 'cylinder-low',
    title: 'Cylinder nearly empty',
    level: 'attention',
    onDelayMs: 10 * MINUTE_MS,
    offDelayMs: 10 * MINUTE_MS,
    limits: {
      massKg: { usual: 0.3, unit: 'kg', low: 0.02, high: 50, what: 'CO2 left by the scale' },
      endMassKg: { usual: 0.5, unit: 'kg', low: 0.02, high: 60, what: 'ends above this' },
      pressureKpa: {
        usual: 2500,
        unit: 'kPa',
        low: 300,
        high: 6000,
        what: 'cylinder pressure below which no liquid is left',
      },
      endPressureKpa: { usual: 2900, unit: 'kPa', low: 300, high: 7000, what: 'ends above this' },
    },
    cause: 'Most of the CO2 is used, or leaks away.',
    consequence: 'Soon no gas reaches the kegs.',
    action: 'Have a full cylinder at hand.',
    timeToAct: 'Days; hours if it leaks.',
    source:
      'Vapour pressure of CO2, Span and Wagner 1996: with liquid left 2,550 kPa even at -10 °C. Mass: common practice.',
  },
  'over-working-pressure': {
    ...OF_READINGS,
    name: 'over-working-pressure',
    title: 'Over the working pressure',
    level: 'urgent',
    onDelayMs: 0,
    offDelayMs: 5 * MINUTE_MS,
    limits: {
      shareMax: {
        usual: 1,
        unit: '1',
        low: 0.3,
        high: 1,
        what: 'begins at this share of the working pressure of the keg',
      },
      shareEnd: { usual: 0.95, unit: '1', low: 0.2, high: 1, what: 'ends below this share' },
    },
    cause: 'The regulator failed or was set too high, or the beer ferments in the keg.',
    consequence: 'The relief valve opens; lids and fittings can give way with force.',
    action: 'Close the cylinder. Keep your face away and vent slowly by the relief valve.',
    timeToAct: 'At once.',
    source: 'The working pressure entered for the keg: read the stamp on it.',
  },
  'room-co2-long': {
    ...OF_READINGS,
    name: 'room-co2-long',
    title: 'CO2 in the room, mean of 8 h',
    level: 'attention',
    onDelayMs: 0,
    offDelayMs: 30 * MINUTE_MS,
    limits: {
      ppm: { usual: 5000, unit: '[ppm]', low: 800, high: 5000, what: 'mean of 8 h at which it begins' },
      endPpm: { usual: 4000, unit: '[ppm]', low: 500, high: 5000, what: 'ends below this' },
    },
    cause: 'A leak, or beer that ferments, in a room that is not aired.',
    consequence: 'Headache and tiredness; more gathers near the floor.',
    action: `Air the room and look for the leak. ${NO_SAFETY_DEVICE}`,
    timeToAct: 'Within the hour.',
    source: CO2_BODIES.long,
  },
  'room-co2-short': {
    ...OF_READINGS,
    name: 'room-co2-short',
    title: 'CO2 in the room, mean of 15 min',
    level: 'urgent',
    onDelayMs: 0,
    offDelayMs: 15 * MINUTE_MS,
    limits: {
      ppm: { usual: 15_000, unit: '[ppm]', low: 2000, high: 15_000, what: 'mean of 15 min at which it begins' },
      endPpm: { usual: 10_000, unit: '[ppm]', low: 1000, high: 15_000, what: 'ends below this' },
    },
    cause: 'A large leak in a room that is not aired.',
    consequence: 'Short breath, racing heart; people may not notice in time.',
    action: `Leave the room, air it from outside, close the cylinder only if you can do so in fresh air. ${NO_SAFETY_DEVICE}`,
    timeToAct: 'At once.',
    source: CO2_BODIES.short,
  },
  'room-co2-danger': {
    ...OF_READINGS,
    name: 'room-co2-danger',
    title: 'CO2 in the room is dangerous',
    level: 'urgent',
    onDelayMs: 0,
    offDelayMs: 15 * MINUTE_MS,
    limits: {
      ppm: { usual: 30_000, unit: '[ppm]', low: 5000, high: 30_000, what: 'a single reading at which it begins' },
      endPpm: { usual: 15_000, unit: '[ppm]', low: 1000, high: 30_000, what: 'ends below this' },
    },
    cause: 'A cylinder or a keg empties into a closed room.',
    consequence: 'Unconsciousness within minutes as it rises; more is deadly.',
    action: `Get everybody out and do not go in. Air it from outside; call for help if somebody is missing. ${NO_SAFETY_DEVICE}`,
    timeToAct: 'At once.',
    source: CO2_BODIES.danger,
  },
};

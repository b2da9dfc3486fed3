import type { Dimension } from '../physics/units.ts';

export type Quantity =
  | 'beer-temperature'
  | 'air-temperature'
  | 'bottle-temperature'
  | 'headspace-pressure'
  | 'regulator-pressure'
  | 'purge-pressure'
  | 'cylinder-pressure'
  | 'ambient-pressure'
  | 'keg-mass'
  | 'cylinder-mass'
  | 'room-co2'
  | 'beer-flow';

/** What kind of thing a quantity belongs to. */
export type SubjectKind = 'keg' | 'place' | 'supply' | 'site';

export interface QuantityRule {
  readonly dimension: Dimension;
  /** Unit of a bare number and of stored values (UCUM). */
  readonly unit: string;
  readonly subject: SubjectKind;
  /** For pressures: what a bare value is measured against. */
  readonly reference: 'gauge' | 'absolute' | null;
  /** Values outside cannot be true of a keg fridge and are refused. */
  readonly low: number;
  readonly high: number;
  /** Values that a sensor gives instead of an error. */
  readonly sentinels: readonly number[];
}

/** Thermometers give 85 after power-on and −127 on a bus error. @source data sheet of 1-Wire thermometers; drivers' practice */
const THERMOMETER_SENTINELS = [85, -127];

const temperature = (subject: SubjectKind): QuantityRule => ({
  dimension: 'temperature',
  unit: 'Cel',
  subject,
  reference: null,
  low: -40,
  high: 80,
  sentinels: THERMOMETER_SENTINELS,
});

const pressure = (subject: SubjectKind, high: number): QuantityRule => ({
  dimension: 'pressure',
  unit: 'kPa',
  subject,
  reference: 'gauge',
  low: -100,
  high,
  sentinels: [],
});

const mass = (subject: SubjectKind): QuantityRule => ({
  dimension: 'mass',
  unit: 'kg',
  subject,
  reference: null,
  low: -5,
  high: 2000,
  sentinels: [],
});

export const QUANTITY_RULES: Readonly<Record<Quantity, QuantityRule>> = {
  'beer-temperature': temperature('keg'),
  'air-temperature': temperature('place'),
  'bottle-temperature': temperature('place'),
  'headspace-pressure': pressure('keg', 1500),
  'regulator-pressure': pressure('supply', 1500),
  'purge-pressure': pressure('supply', 1500),
  'cylinder-pressure': pressure('supply', 30_000),
  'ambient-pressure': { ...pressure('site', 115), reference: 'absolute', low: 30 },
  'keg-mass': mass('keg'),
  'cylinder-mass': mass('supply'),
  'room-co2': {
    dimension: 'ratio',
    unit: '[ppm]',
    subject: 'place',
    reference: null,
    low: 0,
    high: 1_000_000,
    sentinels: [],
  },
  'beer-flow': {
    dimension: 'volume',
    unit: 'L',
    subject: 'keg',
    reference: null,
    low: 0,
    high: 1_000_000,
    sentinels: [],
  },
};

export function isQuantity(text: string): text is Quantity {
  return Object.hasOwn(QUANTITY_RULES, text);
}

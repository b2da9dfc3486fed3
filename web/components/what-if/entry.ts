import type { Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import type { WhatIfRequest } from '../../../src/contract/what-if.ts';
import { digits, pressureFromKpa, pressureToKpa, temperatureFromC, temperatureToC } from '../../format/numbers.ts';
import { numberFrom } from '../form/field.tsx';

/** The question as typed, and what it means to the service. Pure. */
export interface WhatIfFields {
  readonly temperature: string;
  readonly pressure: string;
  readonly hours: string;
}
export type WhatIfField = keyof WhatIfFields;

type Known = Pick<KegState, 'beerTemperatureC' | 'headspaceKpaGauge' | 'regulatorKpaGauge' | 'target'>;

/** Pressure to begin with where none is known (kPa gauge): a usual serving pressure. Common practice, no source. */
const USUAL_KPA = 70;
const WEEK_HOURS = 168;
const PRESSURE_PLACES = { bar: 2, '[psi]': 1, kPa: 0 } as const;
/** One press of + or −, in the shown unit. */
const STEPS = {
  temperature: { Cel: 0.5, '[degF]': 1 },
  pressure: { bar: 0.05, '[psi]': 0.5, kPa: 5 },
  hours: 12,
} as const;

const typed = (value: number, places: number): string => digits(value, places).replace('−', '-');
const ofTemperature = (celsius: number, units: Units): string => typed(temperatureFromC(celsius, units), 1);
export const ofPressure = (kpa: number, units: Units): string =>
  typed(pressureFromKpa(kpa, units), PRESSURE_PLACES[units.pressure]);

/** A week as it is now: the regulator rather than a headspace that may be closed off. */
export function fieldsOf(keg: Known, units: Units): WhatIfFields {
  return {
    temperature: ofTemperature(keg.beerTemperatureC ?? keg.target.celsius, units),
    pressure: ofPressure(keg.regulatorKpaGauge ?? keg.headspaceKpaGauge ?? USUAL_KPA, units),
    hours: String(WEEK_HOURS),
  };
}

/** One step more (1) or less (−1); a field that holds no number stays. */
export function stepped(fields: WhatIfFields, field: WhatIfField, by: 1 | -1, units: Units): WhatIfFields {
  const value = numberFrom(fields[field]);
  if (value === null) return fields;
  const next = (step: number, places: number): string => typed(Math.round(value / step + by) * step, places);
  switch (field) {
    case 'temperature':
      return { ...fields, temperature: next(STEPS.temperature[units.temperature], 1) };
    case 'pressure':
      return { ...fields, pressure: next(STEPS.pressure[units.pressure], PRESSURE_PLACES[units.pressure]) };
    case 'hours':
      return { ...fields, hours: String(Math.max(1, Math.round(value / STEPS.hours + by) * STEPS.hours)) };
  }
}

/** What is asked; null while a field is empty or holds no number. */
export function readWhatIf(kegId: string, fields: WhatIfFields, units: Units): WhatIfRequest | null {
  const [temperature, pressure, hours] = [fields.temperature, fields.pressure, fields.hours].map(numberFrom);
  if (temperature == null || pressure == null || hours == null) return null;
  const round = (value: number): number => Math.round(value * 1000) / 1000;
  return {
    kegId,
    beerTemperatureC: round(temperatureToC(temperature, units)),
    headspaceKpaGauge: round(pressureToKpa(pressure, units)),
    hours,
  };
}

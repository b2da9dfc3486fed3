import type { Units } from '../../../src/contract/catalogue.ts';
import type { EventKind, KeptEvent } from '../../../src/contract/event.ts';
import {
  carbonation,
  carbonationNumber,
  carbonationToVolumes,
  digits,
  pressure,
  pressureToKpa,
  temperature,
  temperatureToC,
  volume,
  volumeToL,
} from '../../format/numbers.ts';
import type { NewEvent } from '../../store/actions.ts';
import { readWindow } from '../batch-form/entry.ts';
import { isWrongNumber, numberFrom } from '../form/field.tsx';

/** What a person may enter here, most usual first. Fills, gas checks and the like have their own places. */
export const ENTERED_KINDS = [
  'gas-opened',
  'gas-closed',
  'regulator-set',
  'target-set',
  'fridge-set',
  'headspace-purged',
  'keg-vented',
  'beer-drawn',
  'keg-moved',
  'keg-shaken',
  'cylinder-changed',
  'keg-weighed',
  'sample-measured',
  'probe-zeroed',
  'line-cleaned',
  'note',
  'keg-emptied',
] as const satisfies readonly EventKind[];
export type EnteredKind = (typeof ENTERED_KINDS)[number];

/** What the person chooses from: things they did, said as they would say them. */
export const DID: Readonly<Record<EnteredKind, string>> = {
  'gas-opened': 'I opened the gas',
  'gas-closed': 'I closed the gas',
  'regulator-set': 'I set the regulator',
  'target-set': 'I want another window',
  'fridge-set': 'I set the fridge',
  'headspace-purged': 'I purged the headspace',
  'keg-vented': 'I vented the keg',
  'beer-drawn': 'I drew beer',
  'keg-moved': 'I moved the keg',
  'keg-shaken': 'I shook the keg',
  'cylinder-changed': 'I changed the gas cylinder',
  'keg-weighed': 'I weighed the keg',
  'sample-measured': 'I measured the carbonation',
  'probe-zeroed': 'I zeroed the pressure probe',
  'line-cleaned': 'I cleaned the line',
  note: 'A note',
  'keg-emptied': 'The keg is empty',
};

export interface EventFields {
  readonly amount: string;
  readonly text: string;
  readonly windowFrom: string;
  readonly windowTo: string;
  readonly fillAt: string;
}

export type EventEntryRead =
  | { readonly ok: true; readonly event: NewEvent }
  | { readonly ok: false; readonly detail: string };

export interface Subjects {
  readonly placeId: string;
  readonly supplyId: string;
}

/** The form as an event of the service; or a sentence that says what is missing. */
export function readEvent(
  kind: EnteredKind,
  fields: EventFields,
  at: string,
  units: Units,
  subjects: Subjects,
): EventEntryRead {
  const amount = numberFrom(fields.amount);
  if (isWrongNumber(fields.amount) || (NEEDS_AMOUNT.has(kind) && amount === null)) {
    return { ok: false, detail: 'Give a number, such as 4.5.' };
  }
  const ok = (event: NewEvent): EventEntryRead => ({ ok: true, event });
  switch (kind) {
    case 'target-set': {
      const window = readWindow(fields, units);
      if (window === null) return { ok: false, detail: 'Give both ends of the window.' };
      return typeof window === 'string' ? { ok: false, detail: window } : ok({ ...window, at });
    }
    case 'regulator-set':
      return ok({ kind, at, kpaGauge: pressureToKpa(amount ?? 0, units), supply: subjects.supplyId });
    case 'cylinder-changed':
      return ok({ kind, at, supply: subjects.supplyId });
    case 'fridge-set':
      return ok({ kind, at, celsius: temperatureToC(amount ?? 0, units), place: subjects.placeId });
    case 'headspace-purged':
      return ok({ kind, at, times: Math.round(amount ?? 0) });
    case 'beer-drawn':
      return ok({ kind, at, litres: volumeToL(amount ?? 0, units) });
    case 'keg-shaken':
      return ok({ kind, at, seconds: amount ?? 0 });
    case 'keg-weighed':
      return ok({ kind, at, kg: amount ?? 0 });
    case 'sample-measured':
      return ok({ kind, at, volumes: carbonationToVolumes(amount ?? 0, units), plusMinus: 0.1 });
    case 'note':
      return fields.text.trim() === ''
        ? { ok: false, detail: 'Write the note first.' }
        : ok({ kind, at, text: fields.text.trim() });
    default:
      return ok({ kind, at });
  }
}

export const NEEDS_AMOUNT: ReadonlySet<EnteredKind> = new Set([
  'regulator-set',
  'fridge-set',
  'headspace-purged',
  'beer-drawn',
  'keg-shaken',
  'keg-weighed',
  'sample-measured',
]);

const number = (event: KeptEvent, key: string): number | null => {
  const value: unknown = event[key];
  return typeof value === 'number' ? value : null;
};

/** What was entered with an event, in the reader's units; empty if there is nothing more to say. */
export function eventDetail(event: KeptEvent, units: Units): string {
  const of = (key: string, word: (value: number) => string): string => {
    const value = number(event, key);
    return value === null ? '' : word(value);
  };
  switch (event.kind) {
    case 'regulator-set':
      return of('kpaGauge', (value) => `to ${pressure(value, units)}`);
    case 'fridge-set':
      return of('celsius', (value) => `to ${temperature(value, units)}`);
    case 'target-set':
      return windowDetail(event, units);
    case 'headspace-purged':
      return of('times', (value) => (value === 1 ? 'once' : `${value} times`));
    case 'beer-drawn':
      return of('litres', (value) => volume(value, units));
    case 'keg-shaken':
      return of('seconds', (value) => `for ${digits(value, 0)} s`);
    case 'keg-weighed':
      return of('kg', (value) => `${digits(value, 2)} kg`);
    case 'sample-measured':
      return of('volumes', (value) => carbonation(value, units));
    case 'keg-filled':
      return of('beerLitres', (value) => `with ${volume(value, units)}`);
    case 'note':
      return typeof event.text === 'string' ? event.text : '';
    default:
      return '';
  }
}

function windowDetail(event: KeptEvent, units: Units): string {
  const middle = number(event, 'volumes');
  const tolerance = number(event, 'tolerance');
  if (middle === null || tolerance === null) return '';
  const celsius = number(event, 'celsius');
  const range = `${carbonationNumber(middle - tolerance, units)} to ${carbonation(middle + tolerance, units)}`;
  return celsius === null ? range : `${range}, at ${temperature(celsius, units)}`;
}

/** What an event holds for besides this keg. */
export interface Shared {
  readonly name: string;
  readonly how: 'in' | 'on';
}

/** Of a keg’s fridge and gas. */
export interface Names {
  readonly placeId: string;
  readonly placeName: string;
  readonly supplyId: string;
  readonly supplyName: string;
}

/** The fridge or gas supply that an event belongs to as a whole; null if it is of one keg. */
export function sharedWith(event: Pick<KeptEvent, 'place' | 'supply'>, names: Names): Shared | null {
  if (event.place !== undefined) {
    return { name: event.place === names.placeId ? names.placeName : event.place, how: 'in' };
  }
  if (event.supply !== undefined) {
    return { name: event.supply === names.supplyId ? names.supplyName : event.supply, how: 'on' };
  }
  return null;
}

/** Events newest first; those from before the filling apart, as they are of another beer, or of none. */
export function byFilling(
  events: readonly KeptEvent[],
  filledAtMs: number | null,
): { readonly newest: KeptEvent[]; readonly before: KeptEvent[] } {
  const sorted = events.toSorted((a, b) => (a.at < b.at ? 1 : -1));
  const isBefore = (event: KeptEvent): boolean => filledAtMs !== null && Date.parse(event.at) < filledAtMs;
  return { newest: sorted.filter((event) => !isBefore(event)), before: sorted.filter(isBefore) };
}

import type { Units } from '../../../src/contract/catalogue.ts';
import {
  carbonationFromVolumes,
  carbonationToVolumes,
  digits,
  temperatureFromC,
  temperatureToC,
  volumeFromL,
  volumeToL,
} from '../../format/numbers.ts';
import { fromWallTime, toWallTime } from '../../format/times.ts';
import type { NewBatch, NewEvent } from '../../store/actions.ts';
import { isWrongNumber, numberFrom } from '../form/field.tsx';

/** The form as typed, and what it means to the service. Pure. */
export interface BatchFields {
  readonly name: string;
  readonly style: string;
  readonly abv: string;
  readonly total: string;
  readonly beer: string;
  readonly temperature: string;
  readonly beerState: 'flat' | 'carbonated' | 'priming' | 'unknown';
  readonly at: string;
  readonly purges: string;
  readonly gas: 'opened' | 'closed' | 'unknown';
  readonly windowFrom: string;
  readonly windowTo: string;
  readonly fillAt: string;
}

export interface Defaults {
  readonly nowMs: number;
  readonly zone: string;
  readonly units: Units;
  readonly capacityL: number | null;
  readonly beerC: number | null;
  readonly target: { readonly low: number; readonly high: number; readonly celsius: number };
}

export function emptyBatch({ nowMs, zone, units, capacityL, beerC, target }: Defaults): BatchFields {
  const carbonation = (volumes: number): string =>
    digits(carbonationFromVolumes(volumes, units), units.carbonation === 'volumes' ? 2 : 1);
  return {
    name: '',
    style: '',
    abv: '',
    total: capacityL === null ? '' : digits(volumeFromL(capacityL, units), 1),
    beer: '',
    temperature: beerC === null ? '' : digits(temperatureFromC(beerC, units), 1).replace('−', '-'),
    beerState: 'flat',
    at: toWallTime(nowMs, zone),
    purges: '',
    gas: 'opened',
    windowFrom: carbonation(target.low),
    windowTo: carbonation(target.high),
    fillAt: digits(temperatureFromC(target.celsius, units), 1).replace('−', '-'),
  };
}

export type BatchEntry =
  | { readonly ok: true; readonly batch: NewBatch; readonly further: NewEvent[] }
  | { readonly ok: false; readonly detail: string };

/** Half the width of the narrowest window the service takes (volumes). */
const NARROWEST = 0.1;
const NARROWEST_WORDS = { volumes: '0.2\u00a0volumes', 'g/L': '0.4\u00a0g/L' } as const;

export function readBatch(fields: BatchFields, units: Units, zone: string): BatchEntry {
  const refuse = (detail: string): BatchEntry => ({ ok: false, detail });
  const numbers = [
    fields.abv,
    fields.total,
    fields.beer,
    fields.temperature,
    fields.purges,
    fields.windowFrom,
    fields.windowTo,
    fields.fillAt,
  ];
  if (numbers.some(isWrongNumber)) return refuse('One of the numbers is none. Correct the marked field.');
  if (fields.name.trim() === '') return refuse('Give the beer a name: lists and alerts call it by it.');
  const atMs = fromWallTime(fields.at, zone);
  if (atMs === null) return refuse('Say when the keg was filled.');
  const target = readWindow(fields, units);
  if (typeof target === 'string') return refuse(target);
  const at = new Date(atMs).toISOString();
  const total = numberFrom(fields.total);
  const beer = numberFrom(fields.beer);
  const degrees = numberFrom(fields.temperature);
  const abv = numberFrom(fields.abv);
  const batch: NewBatch = {
    name: fields.name.trim(),
    at,
    beerState: fields.beerState,
    ...(fields.style.trim() === '' ? {} : { style: fields.style.trim() }),
    ...(abv === null ? {} : { abvPercent: abv }),
    ...(total === null ? {} : { totalLitres: volumeToL(total, units) }),
    ...(beer === null ? {} : { beerLitres: volumeToL(beer, units) }),
    ...(degrees === null ? {} : { beerCelsius: temperatureToC(degrees, units) }),
  };
  return { ok: true, batch, further: [target === null ? [] : [{ ...target, at }], furtherEvents(fields, at)].flat() };
}

function furtherEvents(fields: BatchFields, at: string): NewEvent[] {
  const purges = numberFrom(fields.purges);
  const events: NewEvent[] = [];
  if (purges !== null) events.push({ kind: 'headspace-purged', at, times: Math.round(purges) });
  if (fields.gas === 'opened') events.push({ kind: 'gas-opened', at });
  if (fields.gas === 'closed') events.push({ kind: 'gas-closed', at });
  return events;
}

type Target = Omit<Extract<NewEvent, { kind: 'target-set' }>, 'at'>;

/** The window as middle and tolerance; a sentence if it is none; null if it was left empty. */
export function readWindow(
  fields: Pick<BatchFields, 'windowFrom' | 'windowTo' | 'fillAt'>,
  units: Units,
): Target | string | null {
  const from = numberFrom(fields.windowFrom);
  const to = numberFrom(fields.windowTo);
  if (from === null && to === null) return null;
  if (from === null || to === null) return 'A window has two ends: give both, or neither.';
  const low = carbonationToVolumes(from, units);
  const high = carbonationToVolumes(to, units);
  if (low > high) {
    const said = (value: number): string => digits(value, units.carbonation === 'volumes' ? 2 : 1);
    return `The ends of the window are swapped: it goes from the smaller number to the larger, ${said(to)} to ${said(from)}.`;
  }
  // The last digit of a shown number is rounded, so a window of just the narrowest width must not fail by it.
  if (high - low < 2 * NARROWEST - 0.005) {
    return `The window is too narrow to hit: its ends must be at least ${NARROWEST_WORDS[units.carbonation]} apart.`;
  }
  const degrees = numberFrom(fields.fillAt);
  const round = (value: number): number => Math.round(value * 1000) / 1000;
  return {
    kind: 'target-set',
    volumes: round((low + high) / 2),
    tolerance: Math.max(NARROWEST, round((high - low) / 2)),
    ...(degrees === null ? {} : { celsius: temperatureToC(degrees, units) }),
  };
}

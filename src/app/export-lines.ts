import type * as contract from '../contract/index.ts';
import type { KegEvent } from '../domain/event.ts';
import { QUANTITY_RULES } from '../domain/quantity.ts';
import { defaultProbeId } from '../domain/topic.ts';
import type { PastReading } from './past-readings.ts';
import { instant } from './present.ts';

/** How past readings and entries are written down, as JSON lines and for spreadsheets. */

/** A line of readings.jsonl, without its end. `withReceived`: also when and why it got its time. */
export function readingLine(kegId: string, { probe, reading }: PastReading, withReceived: boolean): string {
  const line: contract.TransferReading = {
    t: instant(reading.measuredAtMs),
    keg: kegId,
    kind: probe.quantity,
    value: reading.value,
    unit: QUANTITY_RULES[probe.quantity].unit,
    ...(isUsual(probe) ? {} : { probe: probe.probeId }),
    ...(withReceived ? { received: instant(reading.receivedAtMs), timeFrom: reading.timeFrom } : {}),
  };
  return JSON.stringify(line);
}

/** A line of events.jsonl, without its end: fields of the kind by name, so that the same entry is the same line. */
export function eventLine(kegId: string, { subject, atMs, enteredAtMs, eventId, body }: KegEvent): string {
  const { kind, ...fields } = body;
  return JSON.stringify({
    t: instant(atMs),
    keg: kegId,
    kind,
    ...(subject.kind === 'place' ? { place: subject.id } : {}),
    ...(subject.kind === 'supply' ? { supply: subject.id } : {}),
    ...Object.fromEntries(Object.entries(fields).toSorted(([a], [b]) => (a < b ? -1 : 1))),
    eventId,
    enteredAt: instant(enteredAtMs),
  });
}

export const READING_COLUMNS: readonly string[] = ['t', 'keg', 'kind', 'value', 'unit', 'probe'];
export const RECEIVED_COLUMNS: readonly string[] = ['received', 'timeFrom'];

/** A row of a spreadsheet, under `READING_COLUMNS` and, with them, `RECEIVED_COLUMNS`. */
export function readingRow(kegId: string, { probe, reading }: PastReading, withReceived: boolean): string {
  const row = [
    instant(reading.measuredAtMs),
    kegId,
    probe.quantity,
    reading.value,
    QUANTITY_RULES[probe.quantity].unit,
    isUsual(probe) ? '' : probe.probeId,
  ];
  return csvRow(withReceived ? [...row, instant(reading.receivedAtMs), reading.timeFrom] : row);
}

/** Fields of all kinds of entries, in columns. */
export const EVENT_COLUMNS: readonly string[] = [
  ...['t', 'keg', 'kind', 'place', 'supply'],
  ...['volumes', 'tolerance', 'plusMinus', 'celsius', 'kpaGauge', 'times', 'seconds', 'litres', 'kg', 'plusMinusKg'],
  ...['shaken', 'totalLitres', 'beerLitres', 'diameterMetres', 'beerCelsius', 'fermentedAtCelsius', 'beerState'],
  ...['onGasSince', 'altitudeMetres', 'probe', 'text', 'eventId', 'enteredAt'],
];

/** A row under `EVENT_COLUMNS`. */
export function eventRow(kegId: string, event: KegEvent): string {
  const fields: Readonly<Record<string, unknown>> = JSON.parse(eventLine(kegId, event));
  return csvRow(EVENT_COLUMNS.map((name) => fields[name]));
}

/**
 * A row as RFC 4180 has it. A text that a spreadsheet would take for a formula gets an apostrophe; numbers stay numbers.
 * @source RFC 4180; OWASP, "CSV Injection"
 */
export function csvRow(cells: readonly unknown[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(cell: unknown): string {
  if (cell === undefined || cell === null) return '';
  if (typeof cell === 'number') return String(cell);
  const text = /^[=+\-@\t\r]/.test(String(cell)) ? `'${cell}` : String(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Is it the probe that its kind and keg imply? Then a line need not name it. */
function isUsual({ probeId, subject, quantity }: PastReading['probe']): boolean {
  return probeId === defaultProbeId(subject, quantity);
}

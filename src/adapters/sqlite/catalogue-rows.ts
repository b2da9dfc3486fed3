import type { SQLOutputValue } from 'node:sqlite';
import type { Episode } from '../../alerts/episode.ts';
import type { Batch, Keg, Place, Site, Supply } from '../../domain/catalogue.ts';
import type { KegEvent } from '../../domain/event.ts';
import type { GapMark } from '../../domain/gap.ts';
import type { Probe } from '../../domain/probe.ts';
import { parseSubjectPath } from '../../domain/topic.ts';

/** Rows of our own tables to what they mean. Columns are strict, so only their nullability has to be told. */
export type Row = Record<string, SQLOutputValue>;

const text = (row: Row, column: string) => String(row[column]);
const number = (row: Row, column: string) => Number(row[column]);
const textOrNull = (row: Row, column: string) => (row[column] === null ? null : String(row[column]));
const numberOrNull = (row: Row, column: string) => (row[column] === null ? null : Number(row[column]));
/** JSON that this adapter wrote itself, from values of the type it is read as. */
const json = <T>(row: Row, column: string) => JSON.parse(String(row[column])) as T;

export function siteFromRow(row: Row): Site {
  return {
    altitudeM: number(row, 'altitude_m'),
    altitudeIsSet: number(row, 'altitude_is_set') === 1,
    timeZone: text(row, 'time_zone'),
    line: row.line === null ? null : json<NonNullable<Site['line']>>(row, 'line'),
    units: json<Site['units']>(row, 'units'),
  };
}

export function placeFromRow(row: Row): Place {
  return { placeId: text(row, 'place_id'), name: text(row, 'name') };
}

export function supplyFromRow(row: Row): Supply {
  return {
    supplyId: text(row, 'supply_id'),
    name: text(row, 'name'),
    co2Ratio: numberOrNull(row, 'co2_ratio'),
    cylinderKg: numberOrNull(row, 'cylinder_kg'),
  };
}

export function kegFromRow(row: Row): Keg {
  return {
    kegId: text(row, 'keg_id'),
    name: text(row, 'name'),
    capacityL: number(row, 'capacity_l'),
    diameterMetres: numberOrNull(row, 'diameter_metres'),
    workingKpaGaugeMax: numberOrNull(row, 'working_kpa_gauge_max'),
    placeId: text(row, 'place_id'),
    supplyId: text(row, 'supply_id'),
    learnsFromMs: numberOrNull(row, 'learns_from_ms'),
  };
}

export function batchFromRow(row: Row): Batch {
  return {
    batchId: text(row, 'batch_id'),
    kegId: text(row, 'keg_id'),
    brewId: textOrNull(row, 'brew_id'),
    name: text(row, 'name'),
    style: textOrNull(row, 'style'),
    abvPercent: numberOrNull(row, 'abv_percent'),
    originalExtractPlato: numberOrNull(row, 'original_extract_plato'),
    beganAtMs: number(row, 'began_at_ms'),
    endedAtMs: numberOrNull(row, 'ended_at_ms'),
    limits: JSON.parse(text(row, 'limits')),
  };
}

export function probeFromRow(row: Row): Probe {
  const subject = parseSubjectPath(text(row, 'subject'));
  if (subject === null)
    throw new Error(`probe ${text(row, 'probe_id')}: subject ${text(row, 'subject')} is unreadable`);
  return {
    probeId: text(row, 'probe_id'),
    topic: text(row, 'topic'),
    pointer: textOrNull(row, 'pointer'),
    unit: textOrNull(row, 'unit'),
    quantity: text(row, 'quantity') as Probe['quantity'],
    subject,
    reference: textOrNull(row, 'reference') as Probe['reference'],
    place: textOrNull(row, 'place') as Probe['place'],
    timeUnit: textOrNull(row, 'time_unit') as Probe['timeUnit'],
    availability: JSON.parse(textOrNull(row, 'availability') ?? 'null'),
    calibration: json<Probe['calibration']>(row, 'calibration'),
  };
}

export function eventFromRow(row: Row): KegEvent {
  return {
    eventId: text(row, 'event_id'),
    subject: { kind: text(row, 'subject_kind') as KegEvent['subject']['kind'], id: text(row, 'subject_id') },
    atMs: number(row, 'at_ms'),
    enteredAtMs: number(row, 'entered_at_ms'),
    body: json<KegEvent['body']>(row, 'body'),
  };
}

export function gapMarkFromRow(row: Row): GapMark {
  return { cause: text(row, 'cause') as GapMark['cause'], fromMs: number(row, 'from_ms'), toMs: number(row, 'to_ms') };
}

export function episodeFromRow(row: Row): Episode {
  // Episodes of earlier versions lack what was added since.
  const added = { mutedBecause: null, heldBy: null, scope: null, unsteady: false };
  return { ...added, ...json<Omit<Episode, keyof typeof added> & Partial<Episode>>(row, 'body') };
}

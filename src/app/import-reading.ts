import type { ImportReading } from '../contract/transfer.ts';
import { defaultProbe, type Probe, type ProbeDirectory } from '../domain/probe.ts';
import { QUANTITY_RULES, type Quantity } from '../domain/quantity.ts';
import type { Reading } from '../domain/reading.ts';
import { readSample } from '../domain/sample.ts';
import { defaultProbeId, type Subject } from '../domain/topic.ts';

/** Where the keg of a reading stands, which tells whose its place's and its supply's readings are. */
export interface KegWhereabouts {
  readonly kegId: string;
  readonly placeId: string;
  readonly supplyId: string;
}

export type ImportedReading =
  | { readonly ok: true; readonly probe: Probe; readonly reading: Reading }
  | { readonly ok: false; readonly reason: string };

/** Makes a reading of a line, or says what is wrong with it and what to do. `nowMs` is when it is imported. */
export function importReading(
  line: ImportReading,
  whereabouts: KegWhereabouts,
  directory: ProbeDirectory,
  nowMs: number,
): ImportedReading {
  const { kind, value, unit } = line;
  const subject = subjectOf(kind, whereabouts);
  const probe =
    line.probe === undefined
      ? (directory.byId(defaultProbeId(subject, kind)) ?? defaultProbe(subject, kind))
      : directory.byId(line.probe);
  if (probe === null) {
    return { ok: false, reason: `probe: ${line.probe} is not known here; leave it out, or map it before importing` };
  }
  if (probe.quantity !== kind) {
    return { ok: false, reason: `probe: ${probe.probeId} measures ${probe.quantity} here, not ${kind}` };
  }
  const sample = { value, unit: unit ?? QUANTITY_RULES[kind].unit, time: instantOf(line.t) } as const;
  const read = readSample(probe, sample, nowMs, 'import');
  if (!read.ok) return read;
  if (read.reading.timeFrom !== 'device') {
    return { ok: false, reason: `t: ${line.t} lies in the future or before 1970; correct the time of this line` };
  }
  const receivedAtMs = line.received === undefined ? nowMs : Date.parse(line.received);
  return { ok: true, probe, reading: { ...read.reading, receivedAtMs, timeFrom: line.timeFrom ?? 'device' } };
}

function instantOf(t: string) {
  return { kind: 'instant', atMs: Date.parse(t) } as const;
}

function subjectOf(quantity: Quantity, { kegId, placeId, supplyId }: KegWhereabouts): Subject {
  const { subject } = QUANTITY_RULES[quantity];
  switch (subject) {
    case 'keg':
      return { kind: 'keg', id: kegId };
    case 'place':
      return { kind: 'place', id: placeId };
    case 'supply':
      return { kind: 'supply', id: supplyId };
    case 'site':
      return { kind: 'site' };
  }
}

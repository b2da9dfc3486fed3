import type { AvailabilityTopic } from './availability.ts';
import type { Quantity } from './quantity.ts';
import { defaultProbeId, defaultTopic, readTopic, type Subject } from './topic.ts';

export interface Calibration {
  readonly fromMs: number;
  /** calibrated = raw * gain + offset, in the quantity's unit. */
  readonly offset: number;
  readonly gain: number;
}

/** How values of one measured quantity are found in messages, and what they mean. */
export interface Probe {
  readonly probeId: string;
  readonly topic: string;
  /** RFC 6901 pointer into a JSON payload; null: the payload's own form says where the value is. */
  readonly pointer: string | null;
  /** UCUM code of values that name no unit; null: the quantity's default. */
  readonly unit: string | null;
  readonly quantity: Quantity;
  readonly subject: Subject;
  readonly reference: 'gauge' | 'absolute' | null;
  readonly place: 'thermowell' | 'wall' | 'air' | null;
  readonly timeUnit: 's' | 'ms' | null;
  /** Where its device says whether it is there; null: nowhere. */
  readonly availability: AvailabilityTopic | null;
  /** In order of `fromMs`. */
  readonly calibration: readonly Calibration[];
}

/** The probe behind a default topic, as it is when nobody has said otherwise. */
export function defaultProbe(subject: Subject, quantity: Quantity): Probe {
  return {
    probeId: defaultProbeId(subject, quantity),
    topic: defaultTopic(subject, quantity),
    pointer: null,
    unit: null,
    quantity,
    subject,
    reference: null,
    place: null,
    timeUnit: null,
    availability: null,
    calibration: [],
  };
}

/** The value after calibration: the last entry that is in force at the reading's time. */
export function calibrated(probe: Probe, value: number, measuredAtMs: number): number {
  const entry = probe.calibration.findLast((calibration) => calibration.fromMs <= measuredAtMs);
  return entry === undefined ? value : value * entry.gain + entry.offset;
}

/** All probes that are known, and those that default topics imply. */
export interface ProbeDirectory {
  /** Probes that read from this topic: those somebody mapped, else the default one, else none. */
  forTopic(topic: string): readonly Probe[];
  byId(probeId: string): Probe | null;
}

/** Looks probes up among the mapped ones first; a default topic needs no mapping. */
export function probeDirectory(mapped: readonly Probe[]): ProbeDirectory {
  const byTopic = Map.groupBy(mapped, (probe) => probe.topic);
  const byId = new Map(mapped.map((probe) => [probe.probeId, probe]));
  return {
    forTopic(topic) {
      const known = byTopic.get(topic);
      if (known !== undefined) return known;
      const meaning = readTopic(topic);
      if (meaning.kind !== 'probe') return [];
      const probe = defaultProbe(meaning.subject, meaning.quantity);
      // A default probe that was moved to another topic no longer listens to its old one.
      return byId.has(probe.probeId) ? [] : [probe];
    },
    byId: (probeId) => byId.get(probeId) ?? defaultProbeFromId(probeId),
  };
}

/** The default probe that has this id, or null if no default topic implies it. */
export function defaultProbeFromId(probeId: string): Probe | null {
  const parts = probeId.split('.');
  const meaning = readTopic(`probes/${parts.join('/')}`);
  return meaning.kind === 'probe' ? defaultProbe(meaning.subject, meaning.quantity) : null;
}

import type { Probe } from '../../../src/contract/catalogue.ts';
import type { ProbeEntry } from '../../store/actions.ts';

/** The form as typed; an empty topic: nothing says whether the device is there. */
export interface AvailabilityFields {
  readonly topic: string;
  readonly online: string;
  readonly offline: string;
}

export const fieldsOf = ({ availability }: Pick<Probe, 'availability'>): AvailabilityFields => ({
  topic: availability?.topic ?? '',
  online: availability?.online ?? '',
  offline: availability?.offline ?? '',
});

/** The probe as it is, with another topic of its device; empty words are the usual ones. */
export function entryOf(probe: Probe, { topic, online, offline }: AvailabilityFields): ProbeEntry {
  const word = (typed: string) => (typed.trim() === '' ? null : typed.trim());
  return {
    topic: probe.topic,
    pointer: probe.pointer,
    unit: probe.unit,
    quantity: probe.quantity,
    of: probe.of,
    reference: probe.reference,
    place: probe.place,
    timeUnit: probe.timeUnit,
    calibration: probe.calibration,
    availability: topic.trim() === '' ? null : { topic: topic.trim(), online: word(online), offline: word(offline) },
  };
}

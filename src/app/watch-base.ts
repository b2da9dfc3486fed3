import type { RuleSource } from '../alerts/rule.ts';
import { newKeg } from '../domain/catalogue.ts';
import { ambientPressure, freshnessOf, isAbsoluteSensor, type LiveValue } from '../domain/keg-inputs.ts';
import { calibrated, type Probe } from '../domain/probe.ts';
import type { Quantity } from '../domain/quantity.ts';
import type { Subject } from '../domain/topic.ts';
import type { Clock } from '../ports/clock.ts';
import type { AlertDesk } from './alert-desk.ts';
import type { LiveProbes } from './live-probes.ts';
import type { Register } from './register.ts';

/** What every watch looks at. */
export interface WatchBasis {
  readonly clock: Clock;
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly desk: AlertDesk;
  readonly rules: RuleSource;
}

const PLACES = ['thermowell', 'wall', 'air'] as const;

/** Of several probes of one quantity, the one that rules listen to: one that speaks, best placed, always the same. */
export function chosenProbe(values: readonly LiveValue[], quantity: Quantity, nowMs: number): LiveValue | null {
  const rank = (value: LiveValue) => {
    const { probe } = value;
    const isStale = freshnessOf(value, nowMs) === 'stale';
    const place = probe.place === null ? PLACES.length : PLACES.indexOf(probe.place);
    return (isStale ? 10 : 0) + place;
  };
  const same = values.filter(({ probe }) => probe.quantity === quantity);
  const order = (a: LiveValue, b: LiveValue) => rank(a) - rank(b) || (a.probe.probeId < b.probe.probeId ? -1 : 1);
  return same.toSorted(order)[0] ?? null;
}

/** A value as rules judge it: calibrated, and gauge where the sensor is absolute. */
export function judgedValue(
  { register, probes }: Pick<WatchBasis, 'register' | 'probes'>,
  probe: Probe,
  value: number,
  atMs: number,
): number {
  const real = calibrated(probe, value, atMs);
  return isAbsoluteSensor(probe) ? real - ambientKpa(register, probes, probe.subject, atMs) : real;
}

function ambientKpa(register: Register, probes: LiveProbes, subject: Subject, atMs: number): number {
  const barometer = chosenProbe(probes.of({ kind: 'site' }), 'ambient-pressure', atMs);
  if (barometer !== null && freshnessOf(barometer, atMs) === 'fresh')
    return calibrated(barometer.probe, barometer.value, barometer.rhythm.lastMeasuredAtMs);
  const keg = subject.kind === 'keg' ? (register.keg(subject.id) ?? newKeg(subject.id)) : null;
  const altitude = keg === null ? null : register.factsOf(keg, atMs).altitudeMetres;
  return ambientPressure(null, altitude, register.site()).kpaAbsolute;
}

/** A subject in words: the beer, the place, the supply. */
export function subjectWords({ register, clock }: Pick<WatchBasis, 'register' | 'clock'>, subject: Subject): string {
  switch (subject.kind) {
    case 'keg':
      return register.batchAt(subject.id, clock.nowMs())?.name ?? register.keg(subject.id)?.name ?? subject.id;
    case 'place':
      return register.place(subject.id)?.name ?? subject.id;
    case 'supply':
      return register.supply(subject.id)?.name ?? subject.id;
    case 'site':
      return 'the site';
  }
}

import type { Probe } from '../domain/probe.ts';
import type { Quantity } from '../domain/quantity.ts';
import { ageWords } from '../domain/words.ts';
import type { AlertSample } from './episode.ts';
import { limitOf, type RuleSource } from './rule.ts';
import { type Standstill, standstill } from './standstill.ts';
import type { Trend } from './trend.ts';
import { SPOKEN } from './words.ts';

const HOUR_MS = 3600_000;
/** What never stands perfectly still in a working fridge. A pressure behind a good regulator may, for twice as long. */
const RESTLESS: Readonly<Partial<Record<Quantity, number>>> = {
  'beer-temperature': 1,
  'air-temperature': 1,
  'ambient-pressure': 1,
  'headspace-pressure': 2,
};

/** What a probe says of itself: values in a row that cannot be true, or no change for days. */
export interface ProbeCourse {
  readonly probe: Pick<Probe, 'probeId' | 'quantity' | 'subject'>;
  readonly where: string;
  readonly trend: Trend;
  /** Thermometers of the air around it. */
  readonly witnesses: readonly Trend[];
  /** Values refused since the last good one. */
  readonly refused: number;
  readonly atMs: number;
}

/** How a probe stands still, if it does for longer than the rule has patience. */
export function standstillOf(rules: RuleSource, { probe, trend, witnesses, atMs }: ProbeCourse): Standstill | null {
  const patience = RESTLESS[probe.quantity];
  if (patience === undefined) return null;
  const patienceMs = limitOf(rules('probe-implausible'), 'stuckHours') * patience * HOUR_MS;
  return standstill(trend, probe.quantity.endsWith('-temperature') ? witnesses : [], { atMs, patienceMs });
}

export function implausible(rules: RuleSource, course: ProbeCourse): AlertSample {
  const { probe, where, refused, atMs } = course;
  const rule = rules('probe-implausible');
  const patience = RESTLESS[probe.quantity];
  const stands = standstillOf(rules, course);
  const stuckMs = stands === null ? 0 : atMs - stands.sinceMs;
  const isRefused = refused >= limitOf(rule, 'refusedMin');
  const spoken = `The ${SPOKEN[probe.quantity]} of ${where}`;
  const figures = isRefused
    ? { measured: refused, limit: limitOf(rule, 'refusedMin'), unit: '1' }
    : { measured: Math.round(stuckMs / HOUR_MS), limit: limitOf(rule, 'stuckHours') * (patience ?? 1), unit: 'h' };
  return {
    rule: rule.name,
    target: probe.probeId,
    kegId: probe.subject.kind === 'keg' ? probe.subject.id : null,
    atMs,
    finding: isRefused || stands?.isStuck === true ? 'holds' : stands?.isStuck === null ? 'between' : 'over',
    words: {
      ...figures,
      message: isRefused ? `${spoken} says what cannot be true.` : `${spoken} has not moved for ${ageWords(stuckMs)}.`,
      advice: 'Before the next fill, look at its wiring and unit, and compare it with another one.',
    },
    endWords: { ...figures, message: `${spoken} works again.`, advice: '' },
  };
}

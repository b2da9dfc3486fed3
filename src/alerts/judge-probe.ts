import type { Probe } from '../domain/probe.ts';
import type { Quantity } from '../domain/quantity.ts';
import { ageWords } from '../domain/words.ts';
import type { AlertSample } from './episode.ts';
import { limitOf, type RuleSource } from './rule.ts';
import { stuckSinceMs, type Trend } from './trend.ts';
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
  /** Values refused since the last good one. */
  readonly refused: number;
  readonly atMs: number;
}

export function implausible(rules: RuleSource, { probe, where, trend, refused, atMs }: ProbeCourse): AlertSample {
  const rule = rules('probe-implausible');
  const patience = RESTLESS[probe.quantity];
  const sinceMs = patience === undefined ? null : stuckSinceMs(trend);
  const stuckMs = sinceMs === null ? 0 : atMs - sinceMs;
  const isStuck = patience !== undefined && stuckMs >= limitOf(rule, 'stuckHours') * patience * HOUR_MS;
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
    finding: isRefused || isStuck ? 'holds' : 'over',
    words: {
      ...figures,
      message: isRefused ? `${spoken} says what cannot be true.` : `${spoken} has not moved for ${ageWords(stuckMs)}.`,
      advice: 'Before the next fill, look at its wiring and unit, and compare it with another one.',
    },
    endWords: { ...figures, message: `${spoken} works again.`, advice: '' },
  };
}

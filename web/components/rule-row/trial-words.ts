import type { RuleTrial } from '../../../src/contract/alert.ts';
import { durationWords } from '../../format/times.ts';

export type Trial = RuleTrial;
export type TrialEpisode = Trial['episodes'][number];

/** One keg, place, supply or probe, and how many messages it would have brought; null: not tried. */
export interface TrialRow {
  readonly subject: string;
  readonly now: number | null;
  readonly proposed: number;
}

const messagesOf = ({ endedAt }: TrialEpisode): number => (endedAt === null ? 1 : 2);

/** Messages by what they are of, those that change most first. `now` is null where the rule is off. */
export function trialRows(
  now: Trial | null,
  proposed: Trial | null,
  subject: (episode: TrialEpisode) => string,
): TrialRow[] {
  const counts = new Map<string, { now: number; proposed: number }>();
  const count = (trial: Trial | null, side: 'now' | 'proposed'): void => {
    for (const episode of trial?.episodes ?? []) {
      const name = subject(episode);
      const row = counts.get(name) ?? { now: 0, proposed: 0 };
      counts.set(name, { ...row, [side]: row[side] + messagesOf(episode) });
    }
  };
  count(now, 'now');
  count(proposed, 'proposed');
  return [...counts]
    .map(([name, row]) => ({ subject: name, now: row.now, proposed: row.proposed }))
    .sort((a, b) => Math.abs(b.now - b.proposed) - Math.abs(a.now - a.proposed) || (a.subject < b.subject ? -1 : 1));
}

const messages = (count: number): string =>
  count === 0 ? 'no message' : count === 1 ? 'one message' : `${count} messages`;

/** What came of the trial, in one sentence. */
export function trialSentence(now: Trial | null, proposed: Trial | null): string {
  if (proposed === null)
    return `Switched off, it would have sent no message. As it is now, ${messages(now?.messages ?? 0)}.`;
  const would = `With these settings it would have sent ${messages(proposed.messages)}`;
  return now === null ? `${would}. It is switched off now.` : `${would}; as it is now, ${messages(now.messages)}.`;
}

/** What the trial could look at, where that is less than the month. */
export function spanSentence({ from, to }: Trial): string {
  const spanMs = Date.parse(to) - Date.parse(from);
  const DAYS_29_MS = 29 * 24 * 3_600_000;
  if (spanMs <= 0) return 'Nothing is kept yet that it could look at.';
  return spanMs < DAYS_29_MS ? `Only the last ${durationWords(spanMs)} are kept that it could look at.` : '';
}

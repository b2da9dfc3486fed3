import type { Matter, Part } from '../../../src/domain/delivery/matter.ts';

/**
 * What goes out next on a person's lane, told again from nothing but the history of that lane: slow, and with a sentence
 * of the promise in each step. Programs and second ways are not modelled.
 */
export interface NaiveHistory {
  /** In the order in which the matters became known, with the time of each. */
  readonly matters: readonly { readonly matter: Matter; readonly knownAtMs: number }[];
  readonly sent: readonly { readonly parts: readonly Part[]; readonly atMs: number }[];
  readonly isQuiet: boolean;
}

export function naiveNext({ matters, sent, isQuiet }: NaiveHistory, nowMs: number): readonly string[] | null {
  const wasSaid = (id: string, ...turns: string[]) =>
    sent.some(({ parts }) => parts.some((part) => part.matterId === id && turns.includes(part.turn)));
  const saidAtMs = (id: string) =>
    sent.find(({ parts }) => parts.some((part) => part.matterId === id && part.turn === 'begin'))?.atMs ?? 0;
  const waiting: { words: string; sinceMs: number; isUrgent: boolean }[] = [];
  for (const { matter, knownAtMs } of matters) {
    const { id, endedAtMs, mutedUntilMs, level } = matter;
    const isUrgent = level === 'urgent';
    if (wasSaid(id, 'end', 'both')) continue;
    if (endedAtMs === null && !wasSaid(id, 'begin')) {
      const isMuted = mutedUntilMs !== null && nowMs < mutedUntilMs;
      if (!isMuted || isUrgent) waiting.push({ words: `begin ${id}`, sinceMs: knownAtMs, isUrgent });
    }
    if (endedAtMs !== null) {
      const turn = wasSaid(id, 'begin') ? 'end' : 'both';
      waiting.push({ words: `${turn} ${id}`, sinceMs: Math.max(endedAtMs, saidAtMs(id)), isUrgent });
    }
  }
  waiting.sort(
    (a, b) => a.sinceMs - b.sinceMs || (a.words.split(' ')[1] ?? '').localeCompare(b.words.split(' ')[1] ?? ''),
  );
  const urgent = waiting.find((one) => one.isUrgent);
  if (urgent !== undefined) return [urgent.words];
  if (isQuiet || waiting.every(({ sinceMs }) => nowMs - sinceMs < 1000)) return null;
  const left = 4 - sent.filter(({ atMs }) => nowMs - atMs < 600_000).length;
  if (left <= 0) return null;
  const words = waiting.map((one) => one.words);
  return words.length <= left ? words.slice(0, 1) : words;
}

import type { Batch, Units } from '../../../src/contract/catalogue.ts';
import type { KeptEvent } from '../../../src/contract/event.ts';
import { carbonation } from '../../format/numbers.ts';
import { bandText, standing } from '../../format/outlook.ts';
import { dayOfYear, durationWords } from '../../format/times.ts';
import type { Held } from '../../store/endings.ts';

type Times = Pick<Batch, 'beganAt' | 'endedAt'>;

/** "since 20 Nov", "20 Nov to 3 Dec", "3 Dec": when it was in its keg. */
export function whenIn({ beganAt, endedAt }: Times, nowMs: number, zone: string): string {
  const day = (at: string, yearMs: number): string => dayOfYear(Date.parse(at), yearMs, zone).replaceAll(' ', '\u00a0');
  if (endedAt === null) return `since ${day(beganAt, nowMs)}`;
  const to = day(endedAt, nowMs);
  // A year that both days share is said once.
  const from = day(beganAt, Date.parse(endedAt));
  if (from === day(endedAt, Date.parse(endedAt))) return to;
  return `${from} to ${to}`;
}

/** "13 days" in the keg so far, or until its end. */
export const howLong = ({ beganAt, endedAt }: Times, nowMs: number): string =>
  durationWords((endedAt === null ? nowMs : Date.parse(endedAt)) - Date.parse(beganAt));

/** The window that a batch has without an entry (volumes): the service's own default. */
export const USUAL_WINDOW = { low: 2, high: 2.5 } as const;

/** The window that was set last of a batch (volumes), from its events. */
export function windowOf(events: readonly KeptEvent[]): { readonly low: number; readonly high: number } {
  const set = events
    .filter((event) => event.kind === 'target-set')
    .toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at))
    .at(-1);
  const [volumes, tolerance]: readonly unknown[] = [set?.volumes, set?.tolerance];
  if (typeof volumes !== 'number' || typeof tolerance !== 'number') return USUAL_WINDOW;
  return { low: volumes - tolerance, high: volumes + tolerance };
}

/** "It held 2.38 volumes in the end, nine times in ten 2.31 to 2.45 volumes: inside its window." */
export function heldSentence(
  held: Held | null,
  isOpen: boolean,
  window: { readonly low: number; readonly high: number },
  units: Units,
): string {
  if (held === null) return isOpen ? 'What it holds cannot be told yet.' : 'What it held in the end was never told.';
  const sure = `nine times in ten ${bandText(held, units)}`;
  const where = standing(held, window);
  return isOpen
    ? `It holds ${carbonation(held.volumes, units)} now, ${sure}: ${where}.`
    : // What is over is not still anything.
      `It held ${carbonation(held.volumes, units)} in the end, ${sure}: ${where.replace('still ', '')}.`;
}

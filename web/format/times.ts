import type { Amiss } from '../../src/contract/common.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
const SPACE = '\u00a0';

const formats = new Map<string, Intl.DateTimeFormat>();

/** Formats are costly to make and few: kept by zone and parts. An unknown zone falls back to UTC. */
function format(zone: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${zone} ${JSON.stringify(options)}`;
  const kept = formats.get(key);
  if (kept !== undefined) return kept;
  let made: Intl.DateTimeFormat;
  try {
    made = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: zone });
  } catch {
    made = new Intl.DateTimeFormat('en-GB', { ...options, timeZone: 'UTC' });
  }
  formats.set(key, made);
  return made;
}

/** "12 s ago", "3 min ago", "5 h ago", "2 days ago". Times ahead of us (a clock that is off) count as now. */
export function ageWords(ageMs: number): string {
  if (ageMs < 1500) return 'just now';
  return `${durationWords(ageMs)} ago`;
}

/** "12 s", "3 min", "5 h", "2 days": the largest unit that fits. */
export function durationWords(durationMs: number): string {
  if (durationMs < MINUTE_MS) return `${Math.max(1, Math.floor(durationMs / 1000))}${SPACE}s`;
  if (durationMs < HOUR_MS) return `${Math.floor(durationMs / MINUTE_MS)}${SPACE}min`;
  if (durationMs < 2 * DAY_MS) return `${Math.floor(durationMs / HOUR_MS)}${SPACE}h`;
  return `${Math.floor(durationMs / DAY_MS)}${SPACE}days`;
}

/** "14:02" today, "Tue 14:02" within a week, "20 Nov 14:02" before and after. */
export function clockTime(atMs: number, nowMs: number, zone: string): string {
  const time = hourText(atMs, zone);
  if (dayKey(atMs, zone) === dayKey(nowMs, zone)) return time;
  if (Math.abs(nowMs - atMs) < 6 * DAY_MS) return `${dayShort(atMs, zone)} ${time}`;
  return `${format(zone, { day: 'numeric', month: 'short' }).format(atMs)} ${time}`;
}

/** "offline since 14:02", "stuck since Tue 22:00": why nothing rests on what a probe says. */
export function amissWords({ kind, since }: Amiss, nowMs: number, zone: string): string {
  return since === null ? kind : `${kind} since ${clockTime(Date.parse(since), nowMs, zone)}`;
}

/** "14:02 to 14:09", "Tue 22:00 to Wed 03:10": two times, the day said once if they share it. */
export function timeSpan(fromMs: number, toMs: number, nowMs: number, zone: string): string {
  const sameDay = dayKey(fromMs, zone) === dayKey(toMs, zone);
  return `${clockTime(fromMs, nowMs, zone)} to ${sameDay ? hourText(toMs, zone) : clockTime(toMs, nowMs, zone)}`;
}

const INSTANT = /\d{4}-\d\d-\d\dT\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:\d\d)/g;

/** A sentence of the service with its instants (RFC 3339) as the clock on the wall tells them. */
export const localTimes = (sentence: string, nowMs: number, zone: string): string =>
  sentence.replace(INSTANT, (text) => {
    const atMs = Date.parse(text);
    return Number.isNaN(atMs) ? text : clockTime(atMs, nowMs, zone);
  });

export const hourText = (atMs: number, zone: string): string =>
  format(zone, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(atMs);

/** "Thu" */
export const dayShort = (atMs: number, zone: string): string => format(zone, { weekday: 'short' }).format(atMs);
/** "Thursday" */
export const dayLong = (atMs: number, zone: string): string => format(zone, { weekday: 'long' }).format(atMs);
/** "Thursday 14:06" */
export const dayAndHour = (atMs: number, zone: string): string => `${dayLong(atMs, zone)} ${hourText(atMs, zone)}`;
/** "Friday 20 November" */
export const longDay = (atMs: number, zone: string): string =>
  format(zone, { weekday: 'long', day: 'numeric', month: 'long' }).format(atMs).replace(',', '');
/** "20 Nov" */
export const dayAndMonth = (atMs: number, zone: string): string =>
  format(zone, { day: 'numeric', month: 'short' }).format(atMs);

/** "20 Nov", "20 Nov 2024": the year is said where it is another than now. */
export function dayOfYear(atMs: number, nowMs: number, zone: string): string {
  const year = (ms: number): string => format(zone, { year: 'numeric' }).format(ms);
  return year(atMs) === year(nowMs) ? dayAndMonth(atMs, zone) : `${dayAndMonth(atMs, zone)} ${year(atMs)}`;
}

/** The same for all moments of a day, whatever it is called. */
export const dayKey = (atMs: number, zone: string): string =>
  format(zone, { year: 'numeric', month: '2-digit', day: '2-digit' }).format(atMs);

/** How far the zone's wall clock is ahead of UTC at an instant. */
export function zoneOffsetMs(atMs: number, zone: string): number {
  const parts = new Map(
    format(zone, {
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
      hourCycle: 'h23',
    })
      .formatToParts(atMs)
      .map((part) => [part.type, Number(part.value)]),
  );
  const part = (name: Intl.DateTimeFormatPartTypes): number => parts.get(name) ?? 0;
  const wall = Date.UTC(part('year'), part('month') - 1, part('day'), part('hour'), part('minute'), part('second'));
  return wall - Math.floor(atMs / 1000) * 1000;
}

/** Wall time as a `datetime-local` field holds it ("2026-11-25T14:06"), in a zone. */
export function toWallTime(atMs: number, zone: string): string {
  return new Date(atMs + zoneOffsetMs(atMs, zone)).toISOString().slice(0, 16);
}

/**
 * The instant of a wall time in a zone; null if the text is none. In the hour that a clock change repeats the first is
 * meant; a time that a change skips is moved on by the change.
 */
export function fromWallTime(text: string, zone: string): number | null {
  const wallMs = Date.parse(`${text}Z`);
  if (Number.isNaN(wallMs)) return null;
  const before = zoneOffsetMs(wallMs - DAY_MS, zone);
  const after = zoneOffsetMs(wallMs + DAY_MS, zone);
  const candidates = [wallMs - before, wallMs - after].filter((at) => at + zoneOffsetMs(at, zone) === wallMs);
  return candidates.length > 0 ? Math.min(...candidates) : wallMs - before;
}

/** Midnights of a zone in [from, to], at most 400. */
export function midnights(fromMs: number, toMs: number, zone: string): number[] {
  const found: number[] = [];
  let day = Math.floor((fromMs + zoneOffsetMs(fromMs, zone)) / DAY_MS);
  for (let count = 0; count < 400; count += 1, day += 1) {
    const at = fromWallTime(new Date(day * DAY_MS).toISOString().slice(0, 16), zone);
    if (at === null || at > toMs) break;
    if (at >= fromMs) found.push(at);
  }
  return found;
}

/** "3 hours", "about 2 days" from hours to come. */
export function hoursWords(hours: number): string {
  if (hours < 1) return `${Math.max(1, Math.round(hours * 60))}${SPACE}min`;
  if (hours < 36) return `${Math.round(hours)}${SPACE}h`;
  return `${Math.round(hours / 24)}${SPACE}days`;
}

/** Ticks of a time axis: midnights when days are shown, whole hours when less is. At most about `most` labels. */
export function timeTicks(
  fromMs: number,
  toMs: number,
  zone: string,
  most: number,
): { readonly atMs: number; readonly label: string; readonly midnight: boolean }[] {
  const hours = (toMs - fromMs) / HOUR_MS;
  const days = hours / 24;
  if (days > 2.2) {
    const every = Math.max(1, Math.ceil(days / Math.max(2, most)));
    return midnights(fromMs, toMs, zone)
      .filter((_, index) => index % every === 0)
      .map((atMs) => ({ atMs, label: days > 8 ? dayAndMonth(atMs, zone) : dayShort(atMs, zone), midnight: true }));
  }
  const step = [0.25, 0.5, 1, 2, 3, 6, 12].find((candidate) => hours / candidate <= Math.max(2, most)) ?? 12;
  const stepMs = step * HOUR_MS;
  const offset = zoneOffsetMs(fromMs, zone);
  const ticks: { atMs: number; label: string; midnight: boolean }[] = [];
  for (let wall = Math.ceil((fromMs + offset) / stepMs) * stepMs; wall - offset <= toMs; wall += stepMs) {
    const atMs = wall - offset;
    const midnight = wall % DAY_MS === 0;
    ticks.push({ atMs, label: midnight ? dayShort(atMs, zone) : hourText(atMs, zone), midnight });
  }
  return ticks;
}

const DAY_MS = 24 * 3_600_000;

const formats = new Map<string, Intl.DateTimeFormat>();

/** Making a format costs a hundred times what using it does. There are a few people, so a few zones. */
function formatOf(timeZone: string): Intl.DateTimeFormat {
  const known = formats.get(timeZone);
  if (known !== undefined) return known;
  const made = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  });
  formats.set(timeZone, made);
  return made;
}

function wallClock(atMs: number, timeZone: string) {
  const parts = new Map(
    formatOf(timeZone)
      .formatToParts(atMs)
      .map(({ type, value }) => [type, value]),
  );
  const of = (type: Intl.DateTimeFormatPartTypes) => parts.get(type) ?? '';
  return {
    hour: of('hour'),
    minute: of('minute'),
    weekday: of('weekday'),
    date: `${of('day')} ${of('month')}`,
    year: of('year'),
  };
}

/** Minutes since midnight that a wall clock in a time zone shows. */
export function minuteOfDay(atMs: number, timeZone: string): number {
  const { hour, minute } = wallClock(atMs, timeZone);
  return Number(hour) * 60 + Number(minute);
}

/** The day that a wall clock in a time zone shows, for comparing. */
export function dayOf(atMs: number, timeZone: string): string {
  const { date, year } = wallClock(atMs, timeZone);
  return `${date} ${year}`;
}

/** A moment as someone in a time zone would say it now: "14:02", "Tue 14:02" or "3 Mar 14:02". */
export function timeWords(atMs: number, nowMs: number, timeZone: string): string {
  const at = wallClock(atMs, timeZone);
  const now = wallClock(nowMs, timeZone);
  const time = `${at.hour}:${at.minute}`;
  if (at.date === now.date && at.year === now.year) return time;
  return Math.abs(nowMs - atMs) < 6 * DAY_MS ? `${at.weekday} ${time}` : `${at.date} ${time}`;
}

/** The date in a time zone as year-month-day, so that dates sort as texts. */
export function dateIn(atMs: number, timeZone: string): string {
  const [day = '', month = '', year = ''] = dateFormatOf(timeZone).format(atMs).split('/');
  return `${year}-${month}-${day}`;
}

const dateFormats = new Map<string, Intl.DateTimeFormat>();

function dateFormatOf(timeZone: string): Intl.DateTimeFormat {
  const known = dateFormats.get(timeZone);
  if (known !== undefined) return known;
  const made = new Intl.DateTimeFormat('en-GB', { timeZone, day: '2-digit', month: '2-digit', year: 'numeric' });
  dateFormats.set(timeZone, made);
  return made;
}

/** Days for which counts are kept. */
const DAYS_MAX = 31;

/** Counts by date with one more on a date; the oldest dates go. */
export function countedOn(counts: Readonly<Record<string, number>>, date: string): Record<string, number> {
  const next = { ...counts, [date]: (counts[date] ?? 0) + 1 };
  return Object.fromEntries(
    Object.entries(next)
      .toSorted(([a], [b]) => (a < b ? -1 : 1))
      .slice(-DAYS_MAX),
  );
}

export function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

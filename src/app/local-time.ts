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

/** A moment as someone in a time zone would say it now: "14:02", "Tue 14:02" or "3 Mar 14:02". */
export function timeWords(atMs: number, nowMs: number, timeZone: string): string {
  const at = wallClock(atMs, timeZone);
  const now = wallClock(nowMs, timeZone);
  const time = `${at.hour}:${at.minute}`;
  if (at.date === now.date && at.year === now.year) return time;
  return Math.abs(nowMs - atMs) < 6 * DAY_MS ? `${at.weekday} ${time}` : `${at.date} ${time}`;
}

export function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

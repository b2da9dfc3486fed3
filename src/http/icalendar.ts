/** Writes an iCalendar stream. @source RFC 5545; properties of the calendar itself: RFC 7986 */
import type { PlanEntry } from '../app/plan-entries.ts';

const LINE_OCTETS_MAX = 75;

/** Text values: backslash, semicolon, comma and newline are written with a backslash. @source RFC 5545, 3.3.11 */
const escaped = (text: string): string =>
  text
    .replace(/[\\;,]/g, (sign) => `\\${sign}`)
    .replace(/\r\n|\r|\n/g, '\\n')
    // Other control characters have no place in a text.
    .replace(/\p{Cc}/gu, '');

/** UTC date with time. @source RFC 5545, 3.3.5, form 2 */
const stamp = (atMs: number): string => `${new Date(atMs).toISOString().slice(0, 19).replace(/[-:]/g, '')}Z`;

/** Lines longer than 75 octets go on in the next one, after a space; no character is cut. @source RFC 5545, 3.1 */
function folded(line: string): string {
  const parts: string[] = [];
  let part = '';
  let octets = 0;
  for (const sign of line) {
    const size = Buffer.byteLength(sign);
    if (octets + size > LINE_OCTETS_MAX) {
      parts.push(part);
      part = ' ';
      octets = 1;
    }
    part += sign;
    octets += size;
  }
  return [...parts, part].join('\r\n');
}

function eventLines(entry: PlanEntry): string[] {
  return [
    'BEGIN:VEVENT',
    `UID:${escaped(entry.uid)}`,
    `DTSTAMP:${stamp(entry.changedMs)}`,
    `LAST-MODIFIED:${stamp(entry.changedMs)}`,
    `DTSTART:${stamp(entry.atMs)}`,
    `DTEND:${stamp(entry.endMs)}`,
    `SEQUENCE:${entry.sequence}`,
    `STATUS:${entry.status}`,
    `SUMMARY:${escaped(entry.summary)}`,
    `DESCRIPTION:${escaped(entry.text)}`,
    'TRANSP:TRANSPARENT',
    'END:VEVENT',
  ];
}

/** The stream rests on nothing but its entries: while they stay, so does every octet of it. */
export function icalendar(entries: readonly PlanEntry[]): string {
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Quietkeg//Fill plans//EN',
    'CALSCALE:GREGORIAN',
    'METHOD:PUBLISH',
    'NAME:Filling bottles',
    'REFRESH-INTERVAL;VALUE=DURATION:PT1H',
    ...entries.flatMap(eventLines),
    'END:VCALENDAR',
  ];
  return `${lines.map(folded).join('\r\n')}\r\n`;
}

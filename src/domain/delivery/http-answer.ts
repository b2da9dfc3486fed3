/** What an HTTP status says of a message that was sent. */
export type StatusMeaning =
  | 'taken'
  /** This message never; others perhaps. */
  | 'refused'
  /** Not taken; later it may be, or when somebody has put the settings right. */
  | 'not-now'
  /** It may have been taken nevertheless. */
  | 'unclear';

/** @source RFC 9110, section 15; 425 RFC 8470; 429 RFC 6585 */
export function statusMeaning(status: number): StatusMeaning {
  if (status >= 200 && status < 300) return 'taken';
  if ([400, 413, 414, 415, 422].includes(status)) return 'refused';
  // The server, or one behind it, failed somewhere in the middle.
  return [500, 502, 504].includes(status) ? 'unclear' : 'not-now';
}

/** How long the remote asks us to wait (ms); null if it does not. @source RFC 9110, section 10.2.3 */
export function retryAfterMs(header: string | null, nowMs: number): number | null {
  if (header === null) return null;
  const text = header.trim();
  if (/^\d{1,9}$/.test(text)) return Number(text) * 1000;
  const atMs = Date.parse(text);
  return Number.isNaN(atMs) ? null : Math.max(0, atMs - nowMs);
}

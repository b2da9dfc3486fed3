/** Hours of a person's wall clock in which nothing but the top level is delivered. Minutes since midnight. */
export interface QuietHours {
  readonly fromMinute: number;
  /** The first minute that is not quiet any more; before `fromMinute` if the night lies between. */
  readonly toMinute: number;
}

/**
 * Whether a wall clock that shows `minuteOfDay` is inside. Asked anew at each moment, so the wall clock alone decides:
 * an hour that is skipped in spring is never quiet, one that comes twice in autumn is quiet twice.
 */
export function isQuiet(quiet: QuietHours | null, minuteOfDay: number): boolean {
  if (quiet === null) return false;
  const { fromMinute, toMinute } = quiet;
  if (fromMinute <= toMinute) return minuteOfDay >= fromMinute && minuteOfDay < toMinute;
  return minuteOfDay >= fromMinute || minuteOfDay < toMinute;
}

/**
 * Whether every topic that a filter asks for is among those that another allows. `#` also means the level above it.
 * @source MQTT 3.1.1 (OASIS 2014), section 4.7
 */
export function isWithin(asked: string, allowed: string): boolean {
  // Wildcards at the front do not reach topics of the broker itself.
  if (asked.startsWith('$') && /^[#+]/.test(allowed)) return false;
  const wanted = asked.split('/');
  const given = allowed.split('/');
  for (const [index, level] of given.entries()) {
    if (level === '#') return true;
    const other = wanted[index];
    if (other === undefined || other === '#' || (level !== '+' && level !== other)) return false;
  }
  return wanted.length === given.length;
}

/** What is wrong with a filter, in words; null if it will do. */
export function filterFault(filter: string): string | null {
  const levels = filter.split('/');
  if (filter === '' || filter.length > TOPIC_LENGTH_MAX) return `must have 1 to ${TOPIC_LENGTH_MAX} characters`;
  if (levels.length > TOPIC_LEVELS_MAX) return `must have at most ${TOPIC_LEVELS_MAX} levels`;
  const isWrong = levels.some(
    (level, index) =>
      (level.includes('#') && (level !== '#' || index < levels.length - 1)) || (level.includes('+') && level !== '+'),
  );
  return isWrong ? 'has + and # only as a whole level, # only as the last' : null;
}

export const TOPIC_LENGTH_MAX = 500;
export const TOPIC_LEVELS_MAX = 20;

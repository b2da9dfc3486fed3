/**
 * Whether a topic matches an MQTT topic filter. Filters beginning with a wildcard do not match topics beginning with $.
 * @source MQTT 3.1.1 (OASIS 2014), section 4.7
 */
export function matchesFilter(filter: string, topic: string): boolean {
  if (topic.startsWith('$') && (filter.startsWith('#') || filter.startsWith('+'))) return false;
  const wanted = filter.split('/');
  const levels = topic.split('/');
  for (const [index, level] of wanted.entries()) {
    if (level === '#') return true;
    if (index >= levels.length || (level !== '+' && level !== levels[index])) return false;
  }
  return wanted.length === levels.length;
}

export function matchesAny(filters: readonly string[], topic: string): boolean {
  return filters.some((filter) => matchesFilter(filter, topic));
}

/**
 * The value under a JSON Pointer, or undefined. Only own members are found, so `/__proto__` finds nothing.
 * @source RFC 6901, sections 3 and 4
 */
export function readPointer(json: unknown, pointer: string): unknown {
  if (pointer === '') return json;
  let found: unknown = json;
  for (const escaped of pointer.slice(1).split('/')) {
    const name = escaped.replaceAll('~1', '/').replaceAll('~0', '~');
    if (Array.isArray(found)) {
      found = /^(0|[1-9]\d*)$/.test(name) ? found[Number(name)] : undefined;
    } else if (typeof found === 'object' && found !== null && Object.hasOwn(found, name)) {
      found = (found as Record<string, unknown>)[name];
    } else {
      return undefined;
    }
  }
  return found;
}

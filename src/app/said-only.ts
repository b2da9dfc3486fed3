/** Without members that say nothing. */
export function saidOnly<T extends object>(values: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  const said = Object.entries(values).filter(([, value]) => value !== undefined);
  return Object.fromEntries(said) as { [K in keyof T]?: Exclude<T[K], undefined> };
}

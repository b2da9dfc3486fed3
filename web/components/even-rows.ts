/** Indices of a series, evenly spread from its first to its last, at most so many: the rows of a table beside a drawing. */
export function evenRows(length: number, most: number): readonly number[] {
  const count = Math.min(most, length);
  return Array.from({ length: count }, (_, index) => Math.round((index * (length - 1)) / Math.max(1, count - 1)));
}

/** One line of `npm run bench`: what was measured, what it is held against, both from the same run. */
export interface Figure {
  readonly what: string;
  readonly measured: number;
  readonly limit: number;
  readonly unit: string;
  readonly limitIs: string;
}

export function printFigure({ what, measured, limit, unit, limitIs }: Figure): void {
  const number = (value: number) => (value >= 100 ? value.toFixed(0) : value.toFixed(2));
  console.log(
    `${what}: ${number(measured)} ${unit}; ${limitIs}: ${number(limit)} ${unit}; ratio ${(measured / limit).toFixed(2)}`,
  );
}

/** The value below which a share of the others lies. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? Number.NaN;
}

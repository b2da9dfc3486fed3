/** When a batch was expected to be carbonated, as it was said at a moment. */
export interface ReadyForecast {
  readonly atMs: number;
  /** From then on; the range holds nine times in ten. */
  readonly hours: number;
  readonly lowHours: number;
  readonly highHours: number;
}

/** A forecast held against what came. */
export interface JudgedForecast extends ReadyForecast {
  readonly expectedAtMs: number;
  /** How much later it came than expected (h; negative: earlier); null: it has not come. */
  readonly lateHours: number | null;
  /** Did it come within the range? Null: it has not come, and may still. */
  readonly inRange: boolean | null;
}

const HOUR_MS = 3_600_000;
/** A forecast a day is kept: more would only repeat it. */
const EVERY_MS = 24 * HOUR_MS;
/** Forecasts of one batch that are kept. A beer that is not carbonated after two months needs no more of them. */
const KEPT = 60;

/** Is a forecast of now to be kept besides those that are? */
export function isNewForecast(kept: readonly ReadyForecast[], nowMs: number): boolean {
  const last = kept.at(-1);
  return kept.length < KEPT && (last === undefined || nowMs - last.atMs >= EVERY_MS);
}

/** Holds forecasts against the moment at which the carbonation was right; null while it is not. */
export function judgeForecasts(
  forecasts: readonly ReadyForecast[],
  cameAtMs: number | null,
  nowMs: number,
): JudgedForecast[] {
  return forecasts.map((forecast) => {
    const at = (hours: number): number => forecast.atMs + hours * HOUR_MS;
    const expectedAtMs = at(forecast.hours);
    const lateHours = cameAtMs === null ? null : (cameAtMs - expectedAtMs) / HOUR_MS;
    const judgedAtMs = cameAtMs ?? nowMs;
    const isOver = judgedAtMs > at(forecast.highHours);
    const inRange = cameAtMs === null ? (isOver ? false : null) : !isOver && cameAtMs >= at(forecast.lowHours);
    return { ...forecast, expectedAtMs, lateHours, inRange };
  });
}

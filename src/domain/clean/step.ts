/** Length of a step of the estimate (ms). Steps lie on whole multiples of it. */
export const STEP_MS = 5 * 60_000;

/** Start of the step that holds a moment. */
export function stepStart(atMs: number): number {
  return Math.floor(atMs / STEP_MS) * STEP_MS;
}

/** What a check rests on, so that anybody can reckon it again. Pure. */
export interface Reckoning {
  readonly inputs: readonly (readonly [what: string, value: string])[];
  /** Formula and figures, a line each; the last one has the result. */
  readonly lines: readonly string[];
  /** What would have to be otherwise for the check to stand otherwise. */
  readonly change: readonly string[];
}

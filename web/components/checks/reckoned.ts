/** What a check rests on, so that anybody can reckon it again. Pure. */
export interface Reckoning {
  readonly inputs: readonly (readonly [what: string, value: string])[];
  /** Formula and figures, a line each; the last one has the result. */
  readonly lines: readonly string[];
  /** What would have to be otherwise for the check to stand otherwise. */
  readonly change: readonly string[];
}

/** By what the service judges besides the limits that can be set; a test holds them against the service's own. */
export const JUDGED_BY = {
  /** How likely it must be that the beer is inside its window, and may be that it is past it. */
  insideMin: 0.9,
  aboveMax: 0.05,
  /** With so much less certainty a check that passes goes on passing. */
  flicker: 0.04,
  /** Once cold, beer stays cold this far above its limit (°C). */
  coldFlickerC: 0.3,
  /** Beer served this far below the pressure of its own gas foams in the line (kPa). */
  breaksOutKpa: 5,
  /** Alcohol of a beer of which none was entered (% by volume). */
  assumedAbvPercent: 3.5,
} as const;

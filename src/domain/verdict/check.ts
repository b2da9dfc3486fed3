/** One condition of the verdict. */
export type CheckName =
  /* Of the beer: these make the verdict. */
  | 'carbonation'
  | 'overcarbonation-risk'
  | 'cold'
  | 'freezing-margin'
  | 'serving-pressure'
  | 'steady'
  | 'at-rest'
  | 'probes-fresh'
  /* Of the session: they count only where something watches them. */
  | 'purge-pressure'
  | 'bottles-cold'
  | 'gas-supply'
  | 'beer-left';

export type CheckState =
  | 'pass'
  /** Time alone will do it. */
  | 'wait'
  /** Someone must do something. */
  | 'act'
  /** Cannot tell. */
  | 'unknown'
  /** Neither a probe nor an entry exists for it: listed, never blocking. */
  | 'not-watched';

export interface Check {
  readonly name: CheckName;
  readonly state: CheckState;
  readonly measured: number | string | null;
  readonly wanted: number | string | null;
  readonly wantedLow: number | null;
  readonly wantedHigh: number | null;
  /** UCUM code of the numbers, or null for texts. */
  readonly unit: string | null;
  /** A plain sentence, or empty if nothing is to do. */
  readonly advice: string;
}

/** A moment of a batch's estimate, as it is kept (volumes). */
export interface EstimatePoint {
  readonly atMs: number;
  /** What the beer would hold in the end at the temperature and pressure of then; null where they were not known. */
  readonly equilibriumVolumes: number | null;
  /** 50 %, 5 % and 95 % of what it held. */
  readonly volumes: number;
  readonly low: number;
  readonly high: number;
  readonly leak: 'none' | 'suspected' | 'likely';
}

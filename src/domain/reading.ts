/** Why a reading carries the time it does. */
export type TimeFrom =
  /** The message named its time and it was believable. */
  | 'device'
  /** The message named no time: the time of receipt. */
  | 'receipt'
  /** The message named a time outside the window: the time of receipt, flagged. */
  | 'receipt-device-refused';

/** One value of a probe, as it came: converted to the quantity's unit, not calibrated. */
export interface Reading {
  readonly probeId: string;
  /** The chosen time (epoch ms): what the reading is filed under. */
  readonly measuredAtMs: number;
  readonly value: number;
  readonly receivedAtMs: number;
  readonly timeFrom: TimeFrom;
}

/** A reading in the store. Readings of one probe and time with other values count up from ordinal 1. */
export interface StoredReading extends Reading {
  readonly ordinal: number;
}

/** All readings of a probe whose times fall into one span, summed up. */
export interface ReadingBucket {
  readonly startMs: number;
  readonly min: number;
  readonly mean: number;
  readonly max: number;
  readonly count: number;
}

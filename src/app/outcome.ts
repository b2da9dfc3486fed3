/** Codes of the contract's problems that the application itself can answer with. */
export type RefusalCode =
  | 'body-invalid'
  | 'event-misplaced'
  | 'keg-unknown'
  | 'place-unknown'
  | 'supply-unknown'
  | 'batch-unknown'
  | 'probe-unknown'
  | 'event-unknown'
  | 'alert-unknown'
  | 'channel-unknown'
  | 'person-unknown'
  | 'rule-unknown'
  | 'fill-unknown'
  | 'bottle-unknown'
  | 'fill-open'
  | 'bottle-removed'
  | 'still-in-use'
  | 'estimate-missing'
  | 'batch-open'
  | 'probe-conflict'
  | 'plan-unknown'
  | 'plan-refused'
  | 'calendar-unknown'
  | 'limit-reached'
  | 'log-in-needed'
  | 'passphrase-wrong'
  | 'token-wrong'
  | 'session-unknown'
  | 'already-claimed'
  | 'too-many-tries';

/** Something a person asked for that cannot be done, with what to do instead. */
export interface Refusal {
  readonly ok: false;
  readonly code: RefusalCode;
  readonly detail: string;
  /** When trying again can help (s). */
  readonly retryAfterS?: number;
}

export type Outcome<T> = { readonly ok: true; readonly value: T } | Refusal;

export function done<T>(value: T): Outcome<T> {
  return { ok: true, value };
}

export function refuse(code: RefusalCode, detail: string): Refusal {
  return { ok: false, code, detail };
}

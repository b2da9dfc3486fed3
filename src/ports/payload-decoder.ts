import type { Sample } from '../domain/sample.ts';

export type DecodeOutcome =
  /** `name` is the SenML record's own name, if the payload is a pack. */
  | { readonly ok: true; readonly samples: readonly (Sample & { readonly name: string | null })[] }
  | { readonly ok: false; readonly reason: string };

/** Reads a payload: a bare number, a JSON object, a SenML pack, or the value under a pointer. Never throws. */
export interface PayloadDecoder {
  decode(payload: Uint8Array, pointer: string | null): DecodeOutcome;
}

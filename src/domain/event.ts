/** What the brewer did, as entered. Fields are those of the kind; absent ones were not told. */
export type EventBody =
  | {
      readonly kind: 'keg-filled';
      readonly totalLitres: number;
      readonly beerLitres: number;
      readonly diameterMetres?: number | undefined;
      readonly beerCelsius?: number | undefined;
      readonly fermentedAtCelsius?: number | undefined;
      readonly beerState: 'flat' | 'carbonated' | 'priming' | 'unknown';
      readonly onGasSince?: string | undefined;
      readonly altitudeMetres?: number | undefined;
      readonly probe: 'thermowell' | 'wall' | 'air';
    }
  | {
      readonly kind: 'target-set';
      readonly volumes: number;
      readonly tolerance: number;
      readonly celsius?: number | undefined;
    }
  | { readonly kind: 'fridge-set'; readonly celsius: number }
  | { readonly kind: 'regulator-set'; readonly kpaGauge: number }
  | { readonly kind: 'headspace-purged'; readonly times: number; readonly kpaGauge?: number | undefined }
  | { readonly kind: 'keg-shaken'; readonly seconds: number }
  | { readonly kind: 'beer-drawn'; readonly litres: number }
  | { readonly kind: 'gas-check-started'; readonly shaken?: boolean | undefined }
  | { readonly kind: 'keg-weighed'; readonly kg: number; readonly plusMinusKg?: number | undefined }
  | { readonly kind: 'sample-measured'; readonly volumes: number; readonly plusMinus: number }
  | { readonly kind: 'note'; readonly text: string }
  | {
      readonly kind:
        | 'keg-emptied'
        | 'cylinder-changed'
        | 'gas-opened'
        | 'gas-closed'
        | 'keg-vented'
        | 'keg-moved'
        | 'diffusion-stone-started'
        | 'gas-check-ended'
        | 'probe-zeroed'
        | 'line-cleaned'
        | 'bottles-chilled'
        | 'fill-started'
        | 'fill-ended';
    };

export type EventKind = EventBody['kind'];

/** What an event is about: a keg, or a place or gas supply and so all kegs in or on it. */
export type EventSubject =
  | { readonly kind: 'keg'; readonly id: string }
  | { readonly kind: 'place'; readonly id: string }
  | { readonly kind: 'supply'; readonly id: string };

export interface KegEvent {
  readonly eventId: string;
  readonly subject: EventSubject;
  /** When it happened. */
  readonly atMs: number;
  /** When it was entered or last corrected. */
  readonly enteredAtMs: number;
  readonly body: EventBody;
}

/** In the order in which things happened; entries of one moment in the order of entry. */
export function inOrder(events: readonly KegEvent[]): readonly KegEvent[] {
  return events.toSorted((a, b) => a.atMs - b.atMs || a.enteredAtMs - b.enteredAtMs);
}

import type { KegEvent } from './event.ts';

export type GasState = 'on' | 'closed' | 'unknown';

export interface Target {
  readonly volumes: number;
  readonly low: number;
  readonly high: number;
  /** Wished fill temperature (°C). */
  readonly celsius: number;
}

/** What the entries say of a keg at a moment. */
export interface KegFacts {
  readonly target: Target;
  readonly gas: GasState;
  /** Altitude entered with the filling (m), or null. */
  readonly altitudeMetres: number | null;
  /** Where the thermometer sits, as entered with the filling, or null. */
  readonly thermometer: 'thermowell' | 'wall' | 'air' | null;
  /** Pressure last entered for its regulator (kPa gauge), or null. */
  readonly regulatorKpaGauge: number | null;
  /** Temperature last entered for its place (°C), or null. */
  readonly fridgeCelsius: number | null;
  /** Since when the beer has been at rest, and what disturbed it last; null while there is none. */
  readonly rest: Rest | null;
  /** Beer at the filling and drawn since (L); null while there is none. */
  readonly beer: { readonly filledLitres: number; readonly drawnLitres: number } | null;
}

export interface Rest {
  readonly sinceMs: number;
  readonly after: 'filled' | 'moved' | 'shaken' | 'vented';
}

/**
 * Window and temperature when nothing else was entered: 2.0 to 2.5 volumes at 2 °C.
 * Common practice for filling bottles from a keg, no source.
 */
export const DEFAULT_TARGET: Target = { volumes: 2.25, low: 2.0, high: 2.5, celsius: 2 };

/**
 * Folds the events up to `atMs`, in order. The regulator and the fridge outlive a batch; what belongs to one filling,
 * its window included, is forgotten with it.
 */
export function kegFactsAt(events: readonly KegEvent[], atMs: number): KegFacts {
  let facts: KegFacts = {
    target: DEFAULT_TARGET,
    gas: 'unknown',
    altitudeMetres: null,
    thermometer: null,
    regulatorKpaGauge: null,
    fridgeCelsius: null,
    rest: null,
    beer: null,
  };
  for (const event of events) {
    if (event.atMs > atMs) break;
    facts = { ...facts, ...change(event, facts) };
  }
  return facts;
}

function change({ atMs, body }: KegEvent, facts: KegFacts): Partial<KegFacts> {
  switch (body.kind) {
    case 'keg-filled':
      return {
        rest: { sinceMs: atMs, after: 'filled' },
        beer: { filledLitres: body.beerLitres, drawnLitres: 0 },
        altitudeMetres: body.altitudeMetres ?? null,
        thermometer: body.probe,
        gas: body.onGasSince === undefined ? facts.gas : 'on',
      };
    case 'keg-emptied':
      return {
        altitudeMetres: null,
        thermometer: null,
        gas: 'unknown',
        target: DEFAULT_TARGET,
        rest: null,
        beer: null,
      };
    case 'target-set':
      return {
        target: {
          volumes: body.volumes,
          low: body.volumes - body.tolerance,
          high: body.volumes + body.tolerance,
          celsius: body.celsius ?? facts.target.celsius,
        },
      };
    case 'keg-moved':
      return disturbed(facts, atMs, 'moved');
    case 'keg-shaken':
      return disturbed(facts, atMs, 'shaken');
    case 'keg-vented':
      return disturbed(facts, atMs, 'vented');
    case 'beer-drawn':
      return facts.beer === null ? {} : { beer: { ...facts.beer, drawnLitres: facts.beer.drawnLitres + body.litres } };
    case 'regulator-set':
      return { regulatorKpaGauge: body.kpaGauge };
    case 'fridge-set':
      return { fridgeCelsius: body.celsius };
    case 'gas-opened':
    case 'gas-check-ended':
      return { gas: 'on' };
    case 'gas-closed':
    case 'gas-check-started':
      return { gas: 'closed' };
    default:
      return {};
  }
}

/** An empty keg has no beer to disturb. */
function disturbed(facts: KegFacts, sinceMs: number, after: Rest['after']): Partial<KegFacts> {
  return facts.rest === null ? {} : { rest: { sinceMs, after } };
}

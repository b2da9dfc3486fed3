import type { Filling, StepEvent } from './estimate/types.ts';
import type { KegEvent } from './event.ts';

export type FillingEvent = KegEvent & { readonly body: Extract<KegEvent['body'], { kind: 'keg-filled' }> };

export function isFilling(event: KegEvent): event is FillingEvent {
  return event.body.kind === 'keg-filled';
}

/** What the estimate is told of a filling. `toppedUp`: beer was in the keg already, so its state is anyone's guess. */
export function fillingOf({ atMs, body }: FillingEvent, toppedUp: boolean): Filling {
  return {
    atMs,
    totalL: body.totalLitres,
    beerL: Math.min(body.beerLitres, body.totalLitres),
    diameterM: body.diameterMetres ?? null,
    beerC: body.beerCelsius ?? null,
    fermentedC: body.fermentedAtCelsius ?? null,
    beerState: toppedUp ? 'unknown' : body.beerState,
    thermometer: body.probe,
    onGasSinceMs: body.onGasSince === undefined ? null : Date.parse(body.onGasSince),
  };
}

/** Kitchen scales and their reading, when the brewer gave no error (kg). Common practice, no source. */
const USUAL_SCALE_KG = 0.02;

/** What an entry means for the estimate; null: nothing. */
export function stepEventOf({ atMs, body }: KegEvent): StepEvent | null {
  switch (body.kind) {
    case 'gas-opened':
    case 'gas-closed':
    case 'gas-check-ended':
    case 'probe-zeroed':
      return { kind: body.kind, atMs };
    case 'gas-check-started':
      return { kind: body.kind, atMs, shaken: body.shaken ?? false };
    case 'headspace-purged':
      return { kind: 'purged', atMs, times: body.times, kpaGauge: body.kpaGauge ?? null };
    case 'keg-vented':
      return { kind: 'vented', atMs };
    case 'keg-moved':
      return { kind: 'moved', atMs };
    case 'keg-shaken':
      return { kind: 'shaken', atMs, seconds: body.seconds };
    case 'beer-drawn':
      return { kind: 'drawn', atMs, litres: body.litres };
    case 'diffusion-stone-started':
      return { kind: 'stone-started', atMs };
    case 'keg-weighed':
      return { kind: 'weighed', atMs, kg: body.kg, plusMinusKg: body.plusMinusKg ?? USUAL_SCALE_KG };
    case 'sample-measured':
      return { kind: body.kind, atMs, volumes: body.volumes, plusMinus: body.plusMinus };
    case 'regulator-set':
      return { kind: body.kind, atMs, kpaGauge: body.kpaGauge };
    default:
      return null;
  }
}

/** A keg is made ready this long before it is filled (ms): what was done then still holds. Common practice, no source. */
const MADE_READY_MS = 12 * 3600_000;

/**
 * What was done before the filling and still holds, as if done at its moment: the regulator's last setting, the last
 * word on the gas, purging. Events in order of time.
 */
export function carriedInto(filling: KegEvent, events: readonly KegEvent[]): StepEvent[] {
  const emptied = events.findLastIndex(({ atMs, body }) => body.kind === 'keg-emptied' && atMs <= filling.atMs);
  const before = events.filter(({ atMs }, index) => index > emptied && atMs < filling.atMs);
  const regulator = events.findLast(({ atMs, body }) => body.kind === 'regulator-set' && atMs < filling.atMs);
  const gas = before.findLast(({ body }) => body.kind === 'gas-opened' || body.kind === 'gas-closed');
  const purges = before.filter(
    ({ atMs, body }) => body.kind === 'headspace-purged' && atMs >= filling.atMs - MADE_READY_MS,
  );
  return [regulator, ...purges, gas].flatMap((event) => {
    const step = event === undefined ? null : stepEventOf({ ...event, atMs: filling.atMs });
    return step === null ? [] : [step];
  });
}

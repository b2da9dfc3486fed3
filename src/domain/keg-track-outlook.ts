import { STEP_MS } from './clean/step.ts';
import { equilibriumOrNull } from './equilibrium.ts';
import type { HoursAhead } from './estimate/types.ts';
import type { KegEvent } from './event.ts';
import type { KegFacts } from './keg-facts.ts';
import type { CoolingTrack } from './keg-track-cooling.ts';
import type { FillingEvent } from './keg-track-events.ts';
import type { Newest, TrackInputs } from './keg-track-inputs.ts';
import type { RunningEstimate, TrackOutput } from './keg-track-types.ts';

/** What an outlook is drawn from. */
export interface OutlookBasis {
  readonly filling: FillingEvent;
  readonly estimate: RunningEstimate | null;
  readonly facts: KegFacts;
  /** In order of time. */
  readonly events: readonly KegEvent[];
  readonly inputs: TrackInputs;
  readonly cooling: CoolingTrack;
  /** Air pressure where no barometer tells it (kPa). */
  readonly altitudeKpa: number;
  readonly co2Ratio: number | null;
  /** End of the last whole step. */
  readonly untilMs: number;
  readonly nowMs: number;
}

const HOUR_MS = 3600_000;
/** A value that is older is no longer one of now (ms): a probe is stale after two hours at the latest. */
const NOW_MS = 2 * HOUR_MS;
/** Waiting is looked at this far ahead. */
const HORIZON_HOURS = 7 * 24;
/** Beer this far above the wished temperature is cold enough to say when (°C). */
const COLD_ABOVE_C = 0.5;
/** Beer that fell by as much in two hours is on its way to the fridge's temperature (°C). */
const FALLING_C = 0.3;
/** A risk that is not taken. */
const RISK = 0.05;
/** Steps of half an hour. */
const STEADY_STEPS = 6;

/** Draws all that is said of a batch from its estimate, its probes and its entries. */
export function outlookOf(basis: OutlookBasis): TrackOutput {
  const { filling, estimate, facts, inputs, altitudeKpa, untilMs } = basis;
  const { ambientKpaAbsolute, ambientFromBarometer } = inputs.step(untilMs - STEP_MS, altitudeKpa, false);
  const newest = (quantity: Parameters<TrackInputs['newest']>[0]) =>
    inputs.newest(quantity, untilMs, NOW_MS, ambientKpaAbsolute);
  const beerTemperature =
    newest('beer-temperature') ?? (filling.body.probe === 'air' ? newest('air-temperature') : null);
  const headspacePressure = newest('headspace-pressure');
  const dissolved = estimate?.estimate() ?? null;
  const { low, high } = facts.target;
  const airKpa = dissolved?.airKpa ?? 0;
  return {
    atMs: basis.nowMs,
    batchId: filling.eventId,
    filledAtMs: filling.atMs,
    equilibriumVolumes:
      beerTemperature === null || headspacePressure === null
        ? null
        : equilibriumOrNull(
            beerTemperature.value,
            headspacePressure.value - airKpa,
            ambientKpaAbsolute,
            basis.co2Ratio,
          ),
    dissolved,
    insideProbability: estimate?.probabilityWithin(low, high) ?? 0,
    aboveProbability: estimate?.probabilityAbove(high) ?? 0,
    target: facts.target,
    beerTemperature,
    headspacePressure,
    ambientKpaAbsolute,
    ambientFromBarometer,
    readyIn: readyIn(basis, beerTemperature, headspacePressure, ambientKpaAbsolute),
    passesTopInHours: passesTopInHours(basis, beerTemperature, headspacePressure, ambientKpaAbsolute),
    steadiness: steadiness(basis),
    coldIn: coldIn(basis, beerTemperature),
  };
}

/** Hours of waiting alone, with the temperature the beer goes to and the pressure it is given. */
function readyIn(
  basis: OutlookBasis,
  beerTemperature: Newest | null,
  headspacePressure: Newest | null,
  ambientKpaAbsolute: number,
): HoursAhead | null {
  const { estimate, facts } = basis;
  const headspaceKpaGauge = pressureAhead(basis, headspacePressure);
  if (estimate === null || beerTemperature === null || headspaceKpaGauge === null) return null;
  const { low, high } = facts.target;
  const beerC = temperatureAhead(basis, beerTemperature.value);
  const ahead = { beerC, headspaceKpaGauge, ambientKpaAbsolute, horizonHours: HORIZON_HOURS };
  const hours = estimate.hoursUntil({ low, high }, ahead);
  return hours === null || hours.hours <= 0 ? null : hours;
}

/** Hours until the risk of being past the window's top, with everything left as it is, reaches 5 %. */
function passesTopInHours(
  basis: OutlookBasis,
  beerTemperature: Newest | null,
  headspacePressure: Newest | null,
  ambientKpaAbsolute: number,
): number | null {
  const { estimate, facts } = basis;
  if (estimate === null) return null;
  const { high } = facts.target;
  if (estimate.probabilityAbove(high) > RISK) return 0;
  const headspaceKpaGauge = pressureAhead(basis, headspacePressure);
  if (beerTemperature === null || headspaceKpaGauge === null) return null;
  const beerC = temperatureAhead(basis, beerTemperature.value);
  const ahead = { beerC, headspaceKpaGauge, ambientKpaAbsolute, horizonHours: HORIZON_HOURS };
  return estimate.hoursUntilAbove(high, ahead, RISK);
}

function steadiness({ inputs, altitudeKpa, untilMs, filling }: OutlookBasis): TrackOutput['steadiness'] {
  const steps = Array.from({ length: STEADY_STEPS }, (_, index) =>
    inputs.step(untilMs - (index + 1) * STEP_MS, altitudeKpa, filling.body.probe === 'air'),
  );
  const kpa = steps.flatMap(({ headspaceKpaGauge }) => headspaceKpaGauge ?? []);
  const celsius = steps.flatMap(({ beerC }) => beerC ?? []);
  // One step may have been missed by a slow probe.
  if (Math.min(kpa.length, celsius.length) < STEADY_STEPS - 1) return null;
  return {
    kpa: Math.max(...kpa) - Math.min(...kpa),
    celsius: Math.max(...celsius) - Math.min(...celsius),
    missedSteps: steps.filter(({ headspaceKpaGauge, beerC }) => headspaceKpaGauge === null || beerC === null).length,
  };
}

/** Beer that is cooling comes to what the fridge is set to, long before the gas is in it. */
function temperatureAhead({ facts, inputs, untilMs }: OutlookBasis, beerC: number): number {
  if (facts.fridgeCelsius === null || beerC <= facts.fridgeCelsius) return beerC;
  const before = inputs.newest('beer-temperature', untilMs - NOW_MS, NOW_MS, 0);
  return before !== null && before.value - beerC >= FALLING_C ? facts.fridgeCelsius : beerC;
}

/** What the gas will press with: with the gas closed, what it pressed with before, as every check ends. */
function pressureAhead(basis: OutlookBasis, newest: Newest | null): number | null {
  const { facts, events, inputs, nowMs } = basis;
  if (facts.gas !== 'closed') return newest?.value ?? facts.regulatorKpaGauge;
  const closings = events.filter(
    ({ atMs, body }) => atMs <= nowMs && (body.kind === 'gas-closed' || body.kind === 'gas-check-started'),
  );
  const closedAtMs = Math.max(...closings.map(({ atMs }) => atMs));
  const before = inputs.newest('headspace-pressure', closedAtMs, NOW_MS, basis.altitudeKpa)?.value;
  return before ?? facts.regulatorKpaGauge ?? newest?.value ?? null;
}

function coldIn(basis: OutlookBasis, beerTemperature: Newest | null): HoursAhead | null {
  const { facts, filling, events, cooling, untilMs, nowMs } = basis;
  const goalC = facts.target.celsius + COLD_ABOVE_C;
  if (beerTemperature === null || beerTemperature.value <= goalC) return null;
  return cooling.hoursUntil({ filling, events, fridgeC: facts.fridgeCelsius, goalC, untilMs, nowMs });
}

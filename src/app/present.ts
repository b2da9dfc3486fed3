import type { Episode } from '../alerts/episode.ts';
import type * as contract from '../contract/index.ts';
import type { Batch, Keg, Site } from '../domain/catalogue.ts';
import type { HoursAhead } from '../domain/estimate/types.ts';
import type { KegEvent } from '../domain/event.ts';
import type { Amiss } from '../domain/keg-inputs.ts';
import type { KegState } from '../domain/keg-state.ts';
import type { TrackOutput } from '../domain/keg-track-types.ts';
import type { Notice } from '../domain/notices/notice.ts';

/** From what the application computes to what crosses the process boundary. Times become RFC 3339 in UTC. */

export function instant(atMs: number): string {
  return new Date(atMs).toISOString();
}

export function instantOrNull(atMs: number | null): string | null {
  return atMs === null ? null : instant(atMs);
}

export function presentState(state: KegState, verdictSinceMs: number): contract.KegState {
  const { keg, batch, facts, ambient, verdict, outlook } = state;
  return {
    kegId: keg.kegId,
    at: instant(state.atMs),
    name: keg.name,
    adopted: state.adopted,
    placeId: keg.placeId,
    supplyId: keg.supplyId,
    batchId: batch?.batchId ?? null,
    batchName: batch?.name ?? null,
    style: batch?.style ?? null,
    abvPercent: batch?.abvPercent ?? null,
    filledAt: instantOrNull(batch?.beganAtMs ?? null),
    beerTemperatureC: state.beerTemperatureC,
    headspaceKpaGauge: state.headspaceKpaGauge,
    ambientKpaAbsolute: ambient.kpaAbsolute,
    ambientFrom: ambient.from,
    gas: facts.gas,
    regulatorKpaGauge: state.regulatorKpaGauge,
    advisedKpaGauge: state.advisedKpaGauge,
    equilibriumVolumes: state.equilibriumVolumes,
    dissolved: presentDissolved(outlook),
    target: { ...facts.target },
    readyIn: presentHours(outlook?.readyIn ?? null),
    coldIn: presentHours(outlook?.coldIn ?? null),
    belief: presentBelief(outlook),
    notices: state.notices.map(presentNotice),
    gasCheck:
      state.gasCheck === null ? null : { since: instant(state.gasCheck.startedAtMs), shaken: state.gasCheck.shaken },
    inputs: state.inputs.map((input) => ({
      quantity: input.quantity,
      probeId: input.probeId,
      value: input.value,
      unit: input.unit,
      at: instant(input.measuredAtMs),
      ageMs: Math.round(input.ageMs),
      state: input.freshness,
      freshForMs: Math.round(input.limits.freshForMs),
      lateForMs: Math.round(input.limits.lateForMs),
      amiss: presentAmiss(input.amiss),
    })),
    verdict: {
      kind: verdict.kind,
      since: instant(verdictSinceMs),
      headline: verdict.headline,
      checks: verdict.checks.map((check) => ({ ...check })),
    },
  };
}

function presentDissolved(outlook: TrackOutput | null): contract.KegState['dissolved'] {
  if (outlook === null || outlook.dissolved === null) return null;
  const { volumes, low, high } = outlook.dissolved;
  return { volumes, low, high };
}

function presentBelief(outlook: TrackOutput | null): contract.KegState['belief'] {
  if (outlook === null || outlook.dissolved === null) return null;
  const { leak, leakProbability, airKpa, probeZeroKpa, probeZeroPlusMinusKpa } = outlook.dissolved;
  const { insideProbability, aboveProbability, passesTopInHours } = outlook;
  return {
    leak,
    leakProbability,
    airKpa,
    probeZeroKpa,
    probeZeroPlusMinusKpa,
    insideProbability,
    aboveProbability,
    passesTopInHours,
  };
}

function presentHours(ahead: HoursAhead | null): contract.KegState['readyIn'] {
  return ahead === null ? null : { hours: ahead.hours, lowHours: ahead.lowHours, highHours: ahead.highHours };
}

export function presentAmiss(amiss: Amiss | null): contract.Amiss | null {
  return amiss === null ? null : { kind: amiss.kind, since: instantOrNull(amiss.sinceMs) };
}

export function presentEpisode(episode: Episode): contract.Episode {
  const { id, rule, kegId, target, level, unverified, measured, limit, unit, message, advice, state } = episode;
  return {
    id,
    rule,
    kegId,
    target,
    level,
    unverified,
    measured,
    limit,
    unit,
    message,
    advice,
    state: state.kind,
    beganAt: instant(state.beganAtMs),
    endedAt: state.kind === 'ended' ? instant(state.endedAtMs) : null,
    acknowledgedAt: instantOrNull(episode.acknowledgedAtMs),
    mutedUntil: instantOrNull(episode.mutedUntilMs),
    mutedBecause: episode.mutedBecause,
    unsteady: episode.unsteady,
  };
}

export function presentSite({ altitudeIsSet, line, units, ...site }: Site): contract.Site {
  return { ...site, altitudeAssumed: !altitudeIsSet, line: line === null ? null : { ...line }, units: { ...units } };
}

export function presentKeg({ learnsFromMs: _, ...keg }: Keg, batch: Batch | null): contract.Keg {
  return { ...keg, batchId: batch?.batchId ?? null };
}

export function presentBatch({ beganAtMs, endedAtMs, ...batch }: Batch): contract.Batch {
  return { ...batch, limits: { ...batch.limits }, beganAt: instant(beganAtMs), endedAt: instantOrNull(endedAtMs) };
}

export function presentEvent({ eventId, subject, atMs, enteredAtMs, body }: KegEvent): contract.KeptEvent {
  return {
    ...body,
    eventId,
    at: instant(atMs),
    enteredAt: instant(enteredAtMs),
    kegId: subject.kind === 'keg' ? subject.id : null,
    ...(subject.kind === 'place' ? { place: subject.id } : {}),
    ...(subject.kind === 'supply' ? { supply: subject.id } : {}),
  };
}

/** A notice, with its entry as it can be posted to the keg's events. */
function presentNotice({ name, message, advice, entry }: Notice): contract.Notice {
  return { name, message, advice, entry: entry === null ? null : { kind: entry.kind, at: instant(entry.atMs) } };
}

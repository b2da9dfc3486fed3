import { type Batch, type Keg, newKeg, type Site, type Supply } from '../../src/domain/catalogue.ts';
import { equilibriumOrNull } from '../../src/domain/equilibrium.ts';
import type { EventBody, EventSubject, KegEvent } from '../../src/domain/event.ts';
import { type KegFacts, kegFactsAt } from '../../src/domain/keg-facts.ts';
import { collectInputs, type LiveValue } from '../../src/domain/keg-inputs.ts';
import { defaultProbe, type Probe } from '../../src/domain/probe.ts';
import type { ProbeRhythm } from '../../src/domain/probe-health.ts';
import { QUANTITY_RULES, type Quantity } from '../../src/domain/quantity.ts';
import type { Reading } from '../../src/domain/reading.ts';
import type { Subject } from '../../src/domain/topic.ts';
import type { DissolvedOutlook, VerdictBasis } from '../../src/domain/verdict/basis.ts';
import { DEFAULT_LIMITS } from '../../src/domain/verdict/limits.ts';

export const SECOND = 1000;
export const MINUTE = 60_000;
export const HOUR = 3_600_000;
export const DAY = 86_400_000;
/** A moment that most tests begin at. */
export const NOON = Date.UTC(2026, 5, 1, 12);

export const iso = (atMs: number): string => new Date(atMs).toISOString();

export function aSite(change: Partial<Site> = {}): Site {
  return {
    altitudeM: 0,
    altitudeIsSet: true,
    timeZone: 'UTC',
    line: null,
    units: { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes', volume: 'L' },
    ...change,
  };
}

export function aSupply(change: Partial<Supply> = {}): Supply {
  return { supplyId: 'gas', name: 'Gas', co2Ratio: 1, cylinderKg: null, ...change };
}

export function aKeg(change: Partial<Keg> = {}): Keg {
  return { ...newKeg('one'), ...change };
}

export function aBatch(change: Partial<Batch> = {}): Batch {
  return {
    batchId: 'b1',
    kegId: 'one',
    brewId: null,
    name: 'Harvest Amber',
    style: null,
    abvPercent: null,
    originalExtractPlato: null,
    beganAtMs: NOON - DAY,
    endedAtMs: null,
    limits: {},
    ...change,
  };
}

let eventsMade = 0;

/** An event of the keg "one", entered when it happened. */
export function anEvent(
  atMs: number,
  body: EventBody,
  change: { eventId?: string; subject?: EventSubject; enteredAtMs?: number } = {},
): KegEvent {
  eventsMade += 1;
  return { eventId: `e${eventsMade}`, subject: { kind: 'keg', id: 'one' }, atMs, enteredAtMs: atMs, body, ...change };
}

export function aFilling(change: Partial<Extract<EventBody, { kind: 'keg-filled' }>> = {}): EventBody {
  return {
    kind: 'keg-filled',
    totalLitres: 19,
    beerLitres: 18.5,
    beerState: 'flat',
    probe: 'thermowell',
    ...change,
  };
}

/** The subject that a quantity belongs to, in the first place and on the first supply. */
export function subjectOf(quantity: Quantity, kegId = 'one'): Subject {
  switch (QUANTITY_RULES[quantity].subject) {
    case 'keg':
      return { kind: 'keg', id: kegId };
    case 'place':
      return { kind: 'place', id: 'fridge' };
    case 'supply':
      return { kind: 'supply', id: 'gas' };
    case 'site':
      return { kind: 'site' };
  }
}

export function aProbe(quantity: Quantity, change: Partial<Probe> = {}): Probe {
  return { ...defaultProbe(subjectOf(quantity), quantity), ...change };
}

/** A probe heard `ageMs` before noon that usually speaks every minute. */
export function aLiveValue(
  quantity: Quantity,
  value: number,
  { ageMs = 0, everyMs = MINUTE, probe = aProbe(quantity) }: { ageMs?: number; everyMs?: number; probe?: Probe } = {},
): LiveValue {
  const rhythm: ProbeRhythm = { lastMeasuredAtMs: NOON - ageMs, intervalsMs: [everyMs, everyMs, everyMs] };
  return { probe, value, rhythm };
}

export function aReading(probeId: string, measuredAtMs: number, value: number): Reading {
  return { probeId, measuredAtMs, value, receivedAtMs: measuredAtMs, timeFrom: 'receipt' };
}

export interface BasisChange {
  readonly batch?: Batch | null;
  readonly facts?: KegFacts;
  readonly beerC?: number | null;
  readonly beerAgeMs?: number;
  readonly kpaGauge?: number | null;
  readonly pressureAgeMs?: number;
  readonly co2Ratio?: number | null;
  readonly dissolved?: DissolvedOutlook | null;
  /** Further values, heard just now. */
  readonly further?: readonly LiveValue[];
  readonly rest?: Partial<
    Pick<VerdictBasis, 'coldIn' | 'steadiness' | 'holes' | 'gasCheckRuns' | 'limits' | 'passed' | 'planned' | 'units'>
  >;
}

/** What is dissolved, inside the usual window and sure of it. */
export function anOutlook(change: Partial<DissolvedOutlook> = {}): DissolvedOutlook {
  return {
    volumes: 2.25,
    low: 2.15,
    high: 2.35,
    insideProbability: 0.99,
    aboveProbability: 0,
    readyIn: null,
    passesTopInHours: null,
    disagreement: null,
    ...change,
  };
}

/** What a verdict rests on at noon: a filled keg at sea level on pure CO2, with probes that speak every minute. */
export function aBasis(change: BasisChange = {}): VerdictBasis {
  const { beerC = 4, kpaGauge = 70, beerAgeMs = 0, pressureAgeMs = 0, co2Ratio = 1 } = change;
  const batch = change.batch === undefined ? aBatch() : change.batch;
  const facts = change.facts ?? kegFactsAt([anEvent(NOON - DAY, aFilling())], NOON);
  const values = [
    ...(beerC === null ? [] : [aLiveValue('beer-temperature', beerC, { ageMs: beerAgeMs })]),
    ...(kpaGauge === null ? [] : [aLiveValue('headspace-pressure', kpaGauge, { ageMs: pressureAgeMs })]),
    ...(change.further ?? []),
  ];
  const inputs = collectInputs(values, null, aSite(), NOON);
  const beerTemperature = inputs.find(({ quantity }) => quantity === 'beer-temperature') ?? null;
  const headspacePressure = inputs.find(({ quantity }) => quantity === 'headspace-pressure') ?? null;
  const known = [beerTemperature, headspacePressure].every((input) => input !== null && input.freshness !== 'stale');
  const ambient = { kpaAbsolute: 101.325, from: 'site-altitude' } as const;
  return {
    kegId: 'one',
    batch,
    facts,
    beerTemperature,
    headspacePressure,
    ambient,
    co2Ratio,
    equilibriumVolumes: known
      ? equilibriumOrNull(beerC ?? Number.NaN, kpaGauge ?? Number.NaN, ambient.kpaAbsolute, co2Ratio)
      : null,
    dissolved: change.dissolved ?? null,
    units: aSite().units,
    inputs,
    coldIn: null,
    steadiness: { kpa: 0.5, celsius: 0.2, missedSteps: 0 },
    holes: [],
    gasCheckRuns: false,
    limits: DEFAULT_LIMITS,
    passed: new Set(),
    nowMs: NOON,
    ...change.rest,
  };
}

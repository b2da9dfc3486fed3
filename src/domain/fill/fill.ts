import type { EventBody } from '../event.ts';
import type { VerdictKind } from '../verdict/judge.ts';

/** How a bottle went. */
export type BottleNote = 'clean' | 'foamy' | 'gushed' | 'spilled' | 'under-filled';
/** Where a bottle went. */
export type Destination = 'kept' | 'competition' | 'gift' | 'party' | 'drunk';

/** What the keg was like at a moment, by the service's own record. Null: not known then. */
export interface Conditions {
  readonly atMs: number;
  readonly beerTemperatureC: number | null;
  readonly headspaceKpaGauge: number | null;
  /** 50 %, 5 % and 95 % of what the beer held (chart volumes). */
  readonly dissolved: { readonly volumes: number; readonly low: number; readonly high: number } | null;
  readonly verdict: VerdictKind | null;
}

export interface Tasting {
  readonly atMs: number;
  readonly text: string;
  /** Would the brewer do it again like that? */
  readonly opinion: 'good' | 'so-so' | 'bad' | null;
}

export interface FilledBottle {
  /** Made by the client, so that a request may be repeated. */
  readonly bottleId: string;
  /** Running number within the fill, from 1. It stands on the label, so it never changes. */
  readonly number: number;
  readonly sizeL: number;
  readonly note: BottleNote;
  readonly remark: string | null;
  readonly filledAtMs: number;
  /** Null: not looked up yet. */
  readonly conditions: Conditions | null;
  readonly destination: Destination;
  /** Which competition, for whom. */
  readonly destinationText: string | null;
  readonly tasting: Tasting | null;
}

export interface BottlePlan {
  readonly count: number;
  readonly sizeL: number;
}

/** One filling of bottles from a keg. Its batch follows from the keg and the begin. */
export interface Fill {
  readonly fillId: string;
  readonly kegId: string;
  readonly startedAtMs: number;
  readonly endedAtMs: number | null;
  /** Bottles that were meant to be filled. */
  readonly planned: readonly BottlePlan[];
  /** The line that was used; null: not entered. */
  readonly line: { readonly boreMm: number; readonly lengthM: number; readonly liftM: number } | null;
  /** Beer that went elsewhere: line, foam, tote (L). */
  readonly lostL: number;
  readonly remark: string | null;
  /** Days after the end at which bottles are asked to be tasted; null: never. */
  readonly tasteAfterDays: number | null;
}

/** A fill with its bottles, in order of their numbers. */
export interface FillRecord {
  readonly fill: Fill;
  readonly bottles: readonly FilledBottle[];
}

/** Bottles of a fill are asked for after three weeks. Common practice, no source. */
export const TASTE_AFTER_DAYS = 21;
/** Millilitres are as fine as anybody measures beer: sums are rounded to them (1/L). */
const ML_PER_L = 1000;
const DAY_MS = 86_400_000;

/** Beer that a fill took out of the keg (L): all bottles, those that foamed over too, and what was lost. */
export function drawnL({ fill, bottles }: FillRecord): number {
  const sum = bottles.reduce((litres, { sizeL }) => litres + sizeL, fill.lostL);
  return Math.round(sum * ML_PER_L) / ML_PER_L;
}

export interface FillEvent {
  readonly eventId: string;
  readonly atMs: number;
  readonly body: EventBody;
}

/** Ids of all events that a fill can have. They follow from its own, so that a change replaces them. */
export function fillEventIds(fillId: string) {
  return { started: `fill-${fillId}-started`, drawn: `fill-${fillId}-drawn`, ended: `fill-${fillId}-ended` };
}

/** What a fill says of its keg: that it began and ended, and how much beer is gone. */
export function fillEvents(record: FillRecord): FillEvent[] {
  const { fillId, startedAtMs, endedAtMs } = record.fill;
  const ids = fillEventIds(fillId);
  const events: FillEvent[] = [{ eventId: ids.started, atMs: startedAtMs, body: { kind: 'fill-started' } }];
  if (endedAtMs === null) return events;
  const litres = drawnL(record);
  if (litres > 0) events.push({ eventId: ids.drawn, atMs: endedAtMs, body: { kind: 'beer-drawn', litres } });
  events.push({ eventId: ids.ended, atMs: endedAtMs, body: { kind: 'fill-ended' } });
  return events;
}

/** A bottle that somebody is to taste. */
export interface TastingDue {
  readonly bottle: FilledBottle;
  readonly dueAtMs: number;
}

/**
 * The bottles of a fill to be tasted: the first, the middle and the last that are still there, because a fill changes while
 * it goes on. Empty before its end, and once each of the three was tasted.
 */
export function tastingsDue({ fill, bottles }: FillRecord): TastingDue[] {
  if (fill.endedAtMs === null || fill.tasteAfterDays === null) return [];
  const dueAtMs = fill.endedAtMs + fill.tasteAfterDays * DAY_MS;
  const there = bottles.filter(({ destination, tasting }) => destination === 'kept' || tasting !== null);
  const chosen = new Set([there[0], there[Math.floor((there.length - 1) / 2)], there.at(-1)]);
  return [...chosen].flatMap((bottle) =>
    bottle === undefined || bottle.tasting !== null ? [] : [{ bottle, dueAtMs }],
  );
}

import type { KegEvent } from '../domain/event.ts';
import type { KegState } from '../domain/keg-state.ts';
import type { Notice } from '../domain/notices/notice.ts';
import type { VerdictKind } from '../domain/verdict/judge.ts';
import type { SpokenUnits } from '../domain/words.ts';

/** What the estimate says that rules rest on. */
export interface OutlookView {
  readonly volumes: number;
  readonly insideProbability: number;
  readonly aboveProbability: number;
  readonly passesTopInHours: number | null;
  readonly leakProbability: number;
}

export type NoticeView = Pick<Notice, 'name' | 'isOver'>;

/** A keg as rules about states look at it. */
export interface KegView {
  readonly kegId: string;
  /** Of the beer, or of the keg while it is empty. */
  readonly name: string;
  readonly supplyId: string;
  readonly placeId: string;
  /** Null: the keg is empty. */
  readonly batchId: string | null;
  readonly atMs: number;
  readonly target: { readonly low: number; readonly high: number };
  /** Null: not known now. */
  readonly verdict: VerdictKind | null;
  readonly headline: string;
  readonly equilibriumVolumes: number | null;
  readonly advisedKpaGauge: number | null;
  /** When the plan of the next fill turns the pressure down; null or left out: no plan does. */
  readonly turnsDownAtMs?: number | null;
  /** Null while nothing is estimated. */
  readonly outlook: OutlookView | null;
  /** Null while nothing is estimated. */
  readonly notices: readonly NoticeView[] | null;
}

export function kegView(state: KegState): KegView {
  const { keg, batch, outlook, verdict } = state;
  const dissolved = outlook?.dissolved ?? null;
  return {
    kegId: keg.kegId,
    name: batch?.name ?? keg.name,
    supplyId: keg.supplyId,
    placeId: keg.placeId,
    batchId: batch?.batchId ?? null,
    atMs: state.atMs,
    target: state.facts.target,
    verdict: verdict.kind,
    headline: verdict.headline,
    equilibriumVolumes: state.equilibriumVolumes,
    advisedKpaGauge: state.advisedKpaGauge,
    turnsDownAtMs: state.planned?.turnsDownAtMs ?? null,
    outlook:
      outlook === null || dissolved === null
        ? null
        : {
            volumes: dissolved.volumes,
            insideProbability: outlook.insideProbability,
            aboveProbability: outlook.aboveProbability,
            passesTopInHours: outlook.passesTopInHours,
            leakProbability: dissolved.leakProbability,
          },
    notices: outlook === null ? null : state.notices,
  };
}

const rounded = (value: number | null, digits: number) => (value === null ? null : Number(value.toFixed(digits)));

/** A view as it is kept: as fine as rules need, so that what hardly changes need not be kept again. */
export function coarseView(view: KegView): KegView {
  const { outlook, notices } = view;
  return {
    ...view,
    headline: '',
    target: { low: view.target.low, high: view.target.high },
    equilibriumVolumes: rounded(view.equilibriumVolumes, 2),
    advisedKpaGauge: rounded(view.advisedKpaGauge, 0),
    outlook:
      outlook === null
        ? null
        : {
            volumes: Number(outlook.volumes.toFixed(2)),
            insideProbability: Number(outlook.insideProbability.toFixed(2)),
            aboveProbability: Number(outlook.aboveProbability.toFixed(2)),
            passesTopInHours: rounded(outlook.passesTopInHours, 0),
            leakProbability: Number(outlook.leakProbability.toFixed(2)),
          },
    notices: notices?.map(({ name, isOver }) => (isOver === undefined ? { name } : { name, isOver })) ?? null,
  };
}

/** A keg as rules about single readings look at it. */
export interface KegContext {
  readonly kegId: string;
  readonly name: string;
  readonly placeId: string;
  /** False: the keg is empty. */
  readonly isFilled: boolean;
  /** Wished fill temperature (°C). */
  readonly targetC: number;
  /** Where the beer begins to freeze (°C). */
  readonly freezesAtC: number;
  readonly workingKpaGaugeMax: number | null;
  readonly isFilling: boolean;
  readonly units: SpokenUnits;
}

/** A fill that nobody entered the end of is over after this (ms). */
const FILL_MS_MAX = 8 * 3600_000;
const ENDS_FILL: ReadonlySet<string> = new Set(['fill-ended', 'keg-emptied', 'keg-filled']);

/** Bottles are being filled from the keg at a moment. Events in order of time. */
export function isFillingAt(events: readonly KegEvent[], atMs: number): boolean {
  const last = events.findLast(({ atMs: doneMs, body }) => {
    return doneMs <= atMs && (body.kind === 'fill-started' || ENDS_FILL.has(body.kind));
  });
  return last?.body.kind === 'fill-started' && atMs - last.atMs <= FILL_MS_MAX;
}

import type * as contract from '../contract/index.ts';
import type { Conditions, Fill, FilledBottle } from '../domain/fill/fill.ts';
import type { FillBook } from '../ports/fill-book.ts';
import type { PlanStore } from '../ports/plan-store.ts';
import { type KeptPlan, keptPlans } from './kept-plan.ts';
import { instant, instantOrNull } from './present.ts';

/** Where fills, their bottles and plans are kept. */
export interface FillShelf {
  readonly book: FillBook;
  readonly plans: Pick<PlanStore, 'all'>;
}

/** Lines of fills.jsonl of one keg: its fills that began before a moment, each with its bottles, then its plans made before it. */
export function fillLinesOf({ book, plans }: FillShelf, kegId: string, toMs: number): contract.TransferFillLine[] {
  const records = book
    .records()
    .filter(({ fill }) => fill.kegId === kegId && fill.startedAtMs < toMs)
    .toSorted((a, b) => a.fill.startedAtMs - b.fill.startedAtMs || compare(a.fill.fillId, b.fill.fillId));
  const kept = [...keptPlans(plans).values()]
    .filter((plan) => plan.kegId === kegId && plan.madeAtMs < toMs)
    .toSorted((a, b) => a.madeAtMs - b.madeAtMs || compare(a.planId, b.planId));
  return [
    ...records.flatMap(({ fill, bottles }) => [
      fillLine(fill),
      ...bottles.map((bottle) => bottleLine(fill, bottle)),
      // Their ids stay known, so that a telephone that comes back late does not bring them again.
      ...book.removed(fill.fillId).map((bottle) => ({ ...bottleLine(fill, bottle), removed: true as const })),
    ]),
    ...kept.map(planLine),
  ];
}

/** A line as it is written, without its end: members by name, so that the same thing is the same text. */
export function fillLineText({ kind, t, keg, ...rest }: contract.TransferFillLine): string {
  return JSON.stringify({ t, keg, kind, ...(byName(rest) as object) });
}

function byName(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(byName);
  if (typeof value !== 'object' || value === null) return value;
  const sorted = Object.entries(value).toSorted(([a], [b]) => compare(a, b));
  return Object.fromEntries(sorted.map(([name, one]) => [name, byName(one)]));
}

const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

function fillLine(fill: Fill): contract.TransferFill {
  const { fillId, kegId: keg, line, lostL, remark, tasteAfterDays } = fill;
  const planned = fill.planned.map(({ count, sizeL }) => ({ count, sizeL }));
  const times = { t: instant(fill.startedAtMs), endedAt: instantOrNull(fill.endedAtMs) };
  return { kind: 'fill', keg, fillId, ...times, planned, line, lostL, remark, tasteAfterDays };
}

function bottleLine({ fillId, kegId }: Fill, bottle: FilledBottle): contract.TransferBottle {
  const { filledAtMs, conditions, tasting, ...rest } = bottle;
  return {
    kind: 'bottle',
    t: instant(filledAtMs),
    keg: kegId,
    fillId,
    ...rest,
    conditions: conditions === null ? null : conditionsLine(conditions),
    tasting: tasting === null ? null : { at: instant(tasting.atMs), text: tasting.text, opinion: tasting.opinion },
  };
}

function conditionsLine({ atMs, ...rest }: Conditions) {
  return { at: instant(atMs), ...rest, dissolved: rest.dissolved === null ? null : { ...rest.dissolved } };
}

function planLine(kept: KeptPlan): contract.TransferPlan {
  const { planId, kegId: keg, batchId, name, bottles, plan, said } = kept;
  return {
    ...{ kind: 'fill-plan', keg, planId, batchId, name, bottles, plan, said },
    t: instant(kept.madeAtMs),
    fillAt: instant(kept.fillAtMs),
    checkedAt: instant(kept.checkedAtMs),
    cancelledAt: instantOrNull(kept.cancelledAtMs),
    changes: kept.changes.map(({ atMs, says }) => ({ at: instant(atMs), says })),
    entries: kept.entries.map(({ uid, sequence, status, atMs, endMs, summary, text, changedMs }) => {
      return {
        ...{ uid, sequence, status, summary, text },
        ...{ at: instant(atMs), end: instant(endMs), changedAt: instant(changedMs) },
      };
    }),
  };
}

export function fillOf(line: contract.TransferFill): Fill {
  const { fillId, keg, planned, lostL, remark, tasteAfterDays } = line;
  const times = { startedAtMs: Date.parse(line.t), endedAtMs: msOrNull(line.endedAt) };
  return { fillId, kegId: keg, ...times, planned, line: line.line, lostL, remark, tasteAfterDays };
}

export function bottleOf(line: contract.TransferBottle): FilledBottle {
  const { bottleId, number, sizeL, note, remark, destination, destinationText, conditions, tasting } = line;
  return {
    ...{ bottleId, number, sizeL, note, remark },
    filledAtMs: Date.parse(line.t),
    conditions: conditions === null ? null : conditionsOf(conditions),
    ...{ destination, destinationText },
    tasting: tasting === null ? null : { atMs: Date.parse(tasting.at), text: tasting.text, opinion: tasting.opinion },
  };
}

function conditionsOf({ at, ...rest }: contract.FillConditions): Conditions {
  return { atMs: Date.parse(at), ...rest };
}

export function planOf(line: contract.TransferPlan): KeptPlan {
  const { planId, keg, batchId, name, bottles, plan, said } = line;
  return {
    ...{ planId, kegId: keg, batchId, name, bottles, plan, said },
    fillAtMs: Date.parse(line.fillAt),
    madeAtMs: Date.parse(line.t),
    checkedAtMs: Date.parse(line.checkedAt),
    cancelledAtMs: msOrNull(line.cancelledAt),
    changes: line.changes.map(({ at, says }) => ({ atMs: Date.parse(at), says })),
    entries: line.entries.map(({ at, end, changedAt, ...rest }) => {
      return { ...rest, atMs: Date.parse(at), endMs: Date.parse(end), changedMs: Date.parse(changedAt) };
    }),
  };
}

function msOrNull(text: string | null): number | null {
  return text === null ? null : Date.parse(text);
}

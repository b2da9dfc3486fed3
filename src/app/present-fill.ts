import type * as contract from '../contract/index.ts';
import type { Batch } from '../domain/catalogue.ts';
import { type Conditions, drawnL, type FilledBottle, type FillRecord } from '../domain/fill/fill.ts';
import { instant, instantOrNull } from './present.ts';

/** What the catalogue says around a fill. */
export interface FillContext {
  readonly batch: Batch | null;
  readonly beerAtStartL: number | null;
  readonly restHours: number | null;
}

export function presentFillSummary(record: FillRecord, context: FillContext): contract.FillSummary {
  const { fillId, kegId, startedAtMs, endedAtMs, planned, line, lostL, remark, tasteAfterDays } = record.fill;
  const notes = { clean: 0, foamy: 0, gushed: 0, spilled: 0, 'under-filled': 0 };
  for (const { note } of record.bottles) notes[note] += 1;
  return {
    fillId,
    kegId,
    batchId: context.batch?.batchId ?? null,
    batchName: context.batch?.name ?? null,
    startedAt: instant(startedAtMs),
    endedAt: instantOrNull(endedAtMs),
    planned: planned.map((one) => ({ ...one })),
    line: line === null ? null : { ...line },
    restHours: context.restHours,
    beerAtStartL: context.beerAtStartL,
    drawnL: drawnL(record),
    lostL,
    remark,
    tasteAfterDays,
    bottleCount: record.bottles.length,
    notes,
  };
}

export function presentFill(record: FillRecord, context: FillContext): contract.Fill {
  return { ...presentFillSummary(record, context), bottles: record.bottles.map(presentBottle) };
}

export function presentBottle({ filledAtMs, conditions, tasting, ...bottle }: FilledBottle): contract.FilledBottle {
  return {
    ...bottle,
    filledAt: instant(filledAtMs),
    conditions: conditions === null ? null : presentConditions(conditions),
    tasting: tasting === null ? null : { at: instant(tasting.atMs), text: tasting.text, opinion: tasting.opinion },
  };
}

function presentConditions({ atMs, dissolved, ...conditions }: Conditions): contract.FillConditions {
  return { ...conditions, at: instant(atMs), dissolved: dissolved === null ? null : { ...dissolved } };
}

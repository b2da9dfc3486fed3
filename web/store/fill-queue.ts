import type { BottleNote, Fill } from '../../src/contract/fill.ts';

/** What was done at a fill and is not known to be taken yet, in order. Each may be sent again without harm. */
export type FillOp = { readonly opId: string; readonly fillId: string } & (
  | { readonly kind: 'start'; readonly kegId: string; readonly startedAt: string; readonly planned: Planned }
  | {
      readonly kind: 'bottle';
      readonly bottleId: string;
      readonly sizeL: number;
      readonly note: BottleNote;
      readonly filledAt: string;
    }
  | { readonly kind: 'remove'; readonly bottleId: string }
  | { readonly kind: 'end'; readonly endedAt: string | null; readonly lostL?: number }
);
/** An op as it is made: its id is given with its place in the queue. */
export type NewOp = FillOp extends infer Op ? (Op extends FillOp ? Omit<Op, 'opId'> : never) : never;

type Planned = readonly { readonly count: number; readonly sizeL: number }[];

export interface LocalBottle {
  readonly bottleId: string;
  readonly number: number;
  readonly sizeL: number;
  readonly note: BottleNote;
  readonly filledAt: string;
}

/** A fill as this device knows it. */
export interface LocalFill {
  readonly fillId: string;
  readonly kegId: string;
  readonly startedAt: string;
  readonly endedAt: string | null;
  readonly planned: Planned;
  readonly beerAtStartL: number | null;
  readonly lostL: number;
  readonly bottles: readonly LocalBottle[];
  /** What the keg was like at the first bottle, as the service kept it; null: not told yet. */
  readonly begin: Begin | null;
}

/** What a fill began with, for telling that something drifts. */
export interface Begin {
  readonly beerC: number | null;
  readonly kpaGauge: number | null;
}

/** An op that the service will not take. */
export interface Refused {
  readonly op: FillOp;
  readonly detail: string;
}

/** All that this device keeps of fills, as it stands in its storage. */
export interface KeptFills {
  readonly ops: readonly FillOp[];
  /** Fills as the service told them last, by keg: those that go on, and one that has just ended. */
  readonly told: Readonly<Record<string, LocalFill>>;
  /** What the keg was like when this device began a fill, by fill. */
  readonly begins: Readonly<Record<string, Begin>>;
  /** Checklist entries that are ticked, by keg. */
  readonly ticked: Readonly<Record<string, readonly string[]>>;
  readonly refused: readonly Refused[];
}

export const NOTHING_KEPT: KeptFills = { ops: [], told: {}, begins: {}, ticked: {}, refused: [] };

/** The fill of a keg: what the service told last, and on top of it all that is still on its way. */
export function fillOf(kept: KeptFills, kegId: string): LocalFill | null {
  return kept.ops.reduce<LocalFill | null>((fill, op) => applied(fill, op, kegId), kept.told[kegId] ?? null);
}

function applied(fill: LocalFill | null, op: FillOp, kegId: string): LocalFill | null {
  if (op.kind === 'start') {
    if (op.kegId !== kegId || op.fillId === fill?.fillId) return fill;
    const { fillId, startedAt, planned } = op;
    return { fillId, kegId, startedAt, endedAt: null, planned, beerAtStartL: null, lostL: 0, bottles: [], begin: null };
  }
  if (fill === null || op.fillId !== fill.fillId) return fill;
  switch (op.kind) {
    case 'bottle':
      return { ...fill, bottles: withBottle(fill.bottles, op) };
    case 'remove':
      return { ...fill, bottles: fill.bottles.filter(({ bottleId }) => bottleId !== op.bottleId) };
    case 'end':
      return { ...fill, endedAt: op.endedAt, lostL: op.lostL ?? fill.lostL };
  }
}

/** A bottle that is not numbered by the service yet gets the number that it will get there. */
function withBottle(
  bottles: readonly LocalBottle[],
  { bottleId, sizeL, note, filledAt }: Extract<FillOp, { kind: 'bottle' }>,
): readonly LocalBottle[] {
  const known = bottles.find((bottle) => bottle.bottleId === bottleId);
  const highest = Math.max(0, ...bottles.map(({ number }) => number));
  const bottle = { bottleId, number: known?.number ?? highest + 1, sizeL, note, filledAt };
  return known === undefined ? [...bottles, bottle] : bottles.map((one) => (one === known ? bottle : one));
}

/** A fill of the service as this device keeps it. */
export function toldFill(fill: Fill): LocalFill {
  const { fillId, kegId, startedAt, endedAt, planned, beerAtStartL, lostL } = fill;
  const bottles = fill.bottles.map(({ bottleId, number, sizeL, note, filledAt }) => ({
    bottleId,
    number,
    sizeL,
    note,
    filledAt,
  }));
  const first = fill.bottles[0]?.conditions ?? null;
  const begin = first === null ? null : { beerC: first.beerTemperatureC, kpaGauge: first.headspaceKpaGauge };
  return { fillId, kegId, startedAt, endedAt, planned, beerAtStartL, lostL, bottles, begin };
}

/** Puts an op at the end of the queue. */
export const queued = (kept: KeptFills, op: FillOp): KeptFills => ({ ...kept, ops: [...kept.ops, op] });

/** An op was taken: it goes, and if the service told the fill with it, that is what is known now. */
export function taken(kept: KeptFills, op: FillOp, told: LocalFill | null): KeptFills {
  // Another page of this device may have had it taken before us, and gone on since.
  if (!kept.ops.some(({ opId }) => opId === op.opId)) return kept;
  const before = kegOf(kept, op.fillId);
  const known = told ?? (before === null ? null : applied(before, op, before.kegId));
  const ops = kept.ops.filter(({ opId }) => opId !== op.opId);
  return known === null ? { ...kept, ops } : { ...kept, ops, told: { ...kept.told, [known.kegId]: known } };
}

const kegOf = (kept: KeptFills, fillId: string): LocalFill | null =>
  Object.values(kept.told).find((fill) => fill.fillId === fillId) ?? null;

/** A bottle that the service knows to be taken back, or never had: it is not there, and nothing is left to do. */
export function gone(kept: KeptFills, { opId, fillId }: FillOp, bottleId: string): KeptFills {
  return taken(kept, { opId, fillId, kind: 'remove', bottleId }, null);
}

/** An op that the service will not take goes out of the way of the others, and is shown. */
export function refusedOp(kept: KeptFills, op: FillOp, detail: string): KeptFills {
  return {
    ...kept,
    ops: kept.ops.filter(({ opId }) => opId !== op.opId),
    refused: [...kept.refused, { op, detail }],
  };
}

/** Somebody else began the fill of this keg first: ours goes on as theirs. */
export function joined(kept: KeptFills, ours: string, theirs: LocalFill): KeptFills {
  return {
    ...kept,
    ops: kept.ops
      .filter((op) => !(op.kind === 'start' && op.fillId === ours))
      .map((op) => (op.fillId === ours ? { ...op, fillId: theirs.fillId } : op)),
    told: { ...kept.told, [theirs.kegId]: theirs },
    begins: { ...kept.begins, ...(kept.begins[ours] === undefined ? {} : { [theirs.fillId]: kept.begins[ours] }) },
  };
}

/** How an op is asked of the API. */
export function requestOf(op: FillOp): {
  readonly method: 'POST' | 'PUT' | 'PATCH' | 'DELETE';
  readonly path: string;
  readonly body?: unknown;
} {
  const fill = `/fills/${encodeURIComponent(op.fillId)}`;
  switch (op.kind) {
    case 'start': {
      const { fillId, kegId, startedAt, planned } = op;
      return { method: 'POST', path: '/fills', body: { fillId, kegId, startedAt, planned } };
    }
    case 'bottle': {
      const { bottleId, sizeL, note, filledAt } = op;
      return { method: 'PUT', path: `${fill}/bottles/${bottleId}`, body: { sizeL, note, filledAt } };
    }
    case 'remove':
      return { method: 'DELETE', path: `${fill}/bottles/${op.bottleId}` };
    case 'end': {
      const { endedAt, lostL } = op;
      return { method: 'PATCH', path: fill, body: lostL === undefined ? { endedAt } : { endedAt, lostL } };
    }
  }
}

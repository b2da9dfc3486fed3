import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { Batch } from '../../src/contract/catalogue.ts';
import type { Curve } from '../../src/contract/curve.ts';
import type { KeptEvent } from '../../src/contract/event.ts';
import type { GasCheckReport, GasCheckResult } from '../../src/contract/gas-check.ts';
import { ask, type Trouble } from './api.ts';
import { serviceMinute } from './clock.ts';
import { view } from './dashboard.ts';
import { type Held, lastHeld } from './endings.ts';
import { type Range, type Span, spanOf } from './range.ts';

/** What the page of one batch reads. */
export interface BatchHistory {
  readonly batch: Signal<Batch | null>;
  readonly events: Signal<readonly KeptEvent[]>;
  /** Of an open batch alone: what checks of an earlier one found is not kept. */
  readonly checks: Signal<readonly GasCheckResult[]>;
  readonly curve: Signal<Curve | null>;
  /** What it held last, by the curve of the whole batch; undefined until that was read. */
  readonly held: Signal<Held | null | undefined>;
  readonly range: ReadonlySignal<Range | null>;
  readonly span: ReadonlySignal<Span | null>;
  /** The latest moment that belongs to it: its end, or the present. */
  readonly latestMs: ReadonlySignal<number>;
  /** Why the batch itself, or its curve, cannot be shown. */
  readonly trouble: Signal<Trouble | null>;
  readonly curveTrouble: Signal<Trouble | null>;
  choose(range: Range): void;
  start(): () => void;
}

const CURVE_POINTS = 500;

export function batchHistory(batchId: string): BatchHistory {
  const path = `/batches/${encodeURIComponent(batchId)}`;
  const batch = signal<Batch | null>(null);
  const events = signal<readonly KeptEvent[]>([]);
  const checks = signal<readonly GasCheckResult[]>([]);
  const curve = signal<Curve | null>(null);
  const held = signal<Held | null | undefined>(undefined);
  const chosen = signal<Range | null>(null);
  const trouble = signal<Trouble | null>(null);
  const curveTrouble = signal<Trouble | null>(null);
  const connected = computed(() => view.value.connection === 'live');
  const times = computed(() => {
    const [beganAt, endedAt] = [batch.value?.beganAt, batch.value?.endedAt ?? null];
    if (beganAt === undefined) return null;
    return { beganMs: Date.parse(beganAt), endedMs: endedAt === null ? null : Date.parse(endedAt) };
  });
  const latestMs = computed(() => times.value?.endedMs ?? serviceMinute.value + 60_000);
  const range = computed<Range | null>(
    () => chosen.value ?? (times.value === null ? null : { kind: 'batch', fromMs: times.value.beganMs }),
  );
  const span = computed(() => (range.value === null ? null : spanOf(range.value, latestMs.value)));
  let turn = 0;

  async function loadCurve(wanted: Span, whole: boolean, kegId: string): Promise<void> {
    turn += 1;
    const mine = turn;
    const part = new URLSearchParams({
      from: new Date(wanted.fromMs).toISOString(),
      to: new Date(wanted.toMs).toISOString(),
      points: String(CURVE_POINTS),
    });
    const address = whole
      ? `${path}/curve?points=${CURVE_POINTS}`
      : `/kegs/${encodeURIComponent(kegId)}/curve?${part.toString()}`;
    const answer = await ask<Curve>('GET', address);
    // An older answer that comes late must not replace a newer one.
    if (mine !== turn) return;
    curveTrouble.value = answer.ok ? null : answer.trouble;
    if (!answer.ok) return;
    curve.value = answer.body;
    if (whole) held.value = lastHeld(answer.body);
  }

  async function loadRecords(): Promise<void> {
    const answer = await ask<Batch>('GET', path);
    trouble.value = answer.ok ? null : answer.trouble;
    if (!answer.ok) return;
    batch.value = answer.body;
    const { kegId, beganAt, endedAt } = answer.body;
    const keg = `/kegs/${encodeURIComponent(kegId)}`;
    const [kept, report] = await Promise.all([
      ask<{ events: KeptEvent[] }>('GET', `${keg}/events`),
      endedAt === null ? ask<GasCheckReport>('GET', `${keg}/gas-check`) : null,
    ]);
    if (kept.ok) events.value = eventsBetween(kept.body.events, beganAt, endedAt);
    if (report?.ok === true && report.body.batchId === batchId) checks.value = report.body.results;
  }

  function start(): () => void {
    const kegId = computed(() => batch.value?.kegId ?? null);
    const ends = [
      effect(() => {
        if (connected.value) void loadRecords();
      }),
      effect(() => {
        if (!connected.value || span.value === null || kegId.value === null) return;
        void loadCurve(span.value, range.value?.kind === 'batch', kegId.value);
      }),
    ];
    return () => {
      for (const end of ends) end();
    };
  }

  function choose(next: Range): void {
    chosen.value = next;
  }
  return { batch, events, checks, curve, held, range, span, latestMs, trouble, curveTrouble, choose, start };
}

/** Those of a keg's events that belong to a batch: its filling and its end are among them. */
export function eventsBetween(events: readonly KeptEvent[], beganAt: string, endedAt: string | null): KeptEvent[] {
  const [fromMs, toMs] = [Date.parse(beganAt), endedAt === null ? Number.POSITIVE_INFINITY : Date.parse(endedAt)];
  return events.filter((event) => {
    const atMs = Date.parse(event.at);
    return atMs >= fromMs && atMs <= toMs;
  });
}

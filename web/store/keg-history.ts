import { computed, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type { Keg } from '../../src/contract/catalogue.ts';
import type { Curve } from '../../src/contract/curve.ts';
import type { KeptEvent } from '../../src/contract/event.ts';
import { ask, type Trouble } from './api.ts';
import { serviceMinute, serviceNow } from './clock.ts';
import { view } from './dashboard.ts';
import { type Range, type Span, spanOf } from './range.ts';

/** What the page of one keg reads besides its live state: curve, trail, events and the keg's details. */
export interface KegHistory {
  readonly range: ReadonlySignal<Range>;
  readonly span: ReadonlySignal<Span>;
  readonly curve: Signal<Curve | null>;
  readonly trail: Signal<Curve | null>;
  readonly events: Signal<readonly KeptEvent[]>;
  readonly details: Signal<Keg | null>;
  readonly trouble: Signal<Trouble | null>;
  /** True once events and details were asked for and answered. */
  readonly recordsRead: Signal<boolean>;
  choose(range: Range): void;
  /** Reads events and details again, after something was entered. */
  reload(): void;
  /** Begins to follow the present; returns what ends it. */
  start(): () => void;
}

const HOUR_MS = 3_600_000;
const TRAIL_HOURS = 5 * 24;
const CURVE_POINTS = 500;
const TRAIL_POINTS = 240;
/** A trail of days need not be read every minute. */
const TRAIL_EVERY_MS = 5 * 60_000;

export function kegHistory(kegId: string, first: Range): KegHistory {
  const path = `/kegs/${encodeURIComponent(kegId)}`;
  const range = signal(first);
  const curve = signal<Curve | null>(null);
  const trail = signal<Curve | null>(null);
  const events = signal<readonly KeptEvent[]>([]);
  const details = signal<Keg | null>(null);
  const trouble = signal<Trouble | null>(null);
  const recordsRead = signal(false);
  const connected = computed(() => view.value.connection === 'live');
  const filledAt = computed(() => view.value.kegs.find((keg) => keg.kegId === kegId)?.filledAt ?? null);
  const span = computed(() => spanOf(range.value, serviceMinute.value + 60_000));
  let turn = 0;

  async function loadCurve(wanted: Span): Promise<void> {
    turn += 1;
    const mine = turn;
    const answer = await ask<Curve>('GET', `${path}/curve?${query(wanted, CURVE_POINTS)}`);
    if (mine !== turn) return;
    trouble.value = answer.ok ? null : answer.trouble;
    if (answer.ok) curve.value = answer.body;
  }
  async function loadTrail(): Promise<void> {
    const toMs = serviceNow.peek();
    const since = filledAt.peek();
    const fromMs = Math.max(toMs - TRAIL_HOURS * HOUR_MS, since === null ? 0 : Date.parse(since));
    const answer = await ask<Curve>('GET', `${path}/curve?${query({ fromMs, toMs }, TRAIL_POINTS)}`);
    if (answer.ok) trail.value = answer.body;
  }
  async function loadRecords(): Promise<void> {
    const [kept, keg] = await Promise.all([
      ask<{ events: KeptEvent[] }>('GET', `${path}/events`),
      ask<Keg>('GET', path),
    ]);
    if (kept.ok) events.value = kept.body.events;
    if (keg.ok) details.value = keg.body;
    recordsRead.value = true;
  }

  return {
    range,
    span,
    curve,
    trail,
    events,
    details,
    trouble,
    recordsRead,
    choose(next) {
      range.value = next;
    },
    reload() {
      void loadRecords();
      void loadTrail();
    },
    start() {
      let trailAtMs = 0;
      let trailOf: string | null = null;
      const ends = [
        effect(() => {
          if (connected.value) void loadCurve(span.value);
        }),
        effect(() => {
          const minute = serviceMinute.value;
          // The filling of another batch begins another trail.
          const another = filledAt.value !== trailOf;
          if (!connected.value || (!another && minute - trailAtMs < TRAIL_EVERY_MS)) return;
          trailAtMs = minute;
          trailOf = filledAt.value;
          void loadTrail();
        }),
        effect(() => {
          if (connected.value) void loadRecords();
        }),
      ];
      return () => {
        for (const end of ends) end();
      };
    },
  };
}

const query = (span: Span, points: number): string =>
  new URLSearchParams({
    from: new Date(span.fromMs).toISOString(),
    to: new Date(span.toMs).toISOString(),
    points: String(points),
  }).toString();

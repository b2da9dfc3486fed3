import { computed, effect, type Signal, signal } from '@preact/signals';
import type { Keg } from '../../src/contract/catalogue.ts';
import type { GasCheckReport } from '../../src/contract/gas-check.ts';
import { enterEvent } from './actions.ts';
import { ask, type Trouble } from './api.ts';
import { later, serviceMinute, serviceNow } from './clock.ts';
import { view } from './dashboard.ts';

/** What the page of a gas check reads besides the keg's live state. */
export interface GasCheck {
  readonly report: Signal<GasCheckReport | null>;
  /** The vessel: its working pressure is a limit. */
  readonly details: Signal<Keg | null>;
  readonly trouble: Signal<Trouble | null>;
  load(): Promise<void>;
  /** Reads anew whenever the keg's state changed, and every minute; returns what ends it. */
  start(): () => void;
}

/** A keg may tell of every reading; the report is worked out anew each time, so it is asked for less often. */
const PAUSE_MS = 5_000;

export function gasCheck(kegId: string): GasCheck {
  const path = `/kegs/${encodeURIComponent(kegId)}`;
  const report = signal<GasCheckReport | null>(null);
  const details = signal<Keg | null>(null);
  const trouble = signal<Trouble | null>(null);
  const keg = computed(() => view.value.kegs.find((one) => one.kegId === kegId) ?? null);
  const connected = computed(() => view.value.connection === 'live');
  let turn = 0;

  async function load(): Promise<void> {
    turn += 1;
    const mine = turn;
    const answer = await ask<GasCheckReport>('GET', `${path}/gas-check`);
    // An older answer that comes late must not replace a newer one.
    if (mine !== turn) return;
    trouble.value = answer.ok ? null : answer.trouble;
    if (answer.ok) report.value = answer.body;
  }

  async function loadDetails(): Promise<void> {
    const answer = await ask<Keg>('GET', path);
    if (answer.ok) details.value = answer.body;
  }

  function start(): () => void {
    let waiting: (() => void) | null = null;
    let asked = '';
    const began = computed(() => keg.value?.gasCheck?.since ?? null);
    const batch = computed(() => keg.value?.batchId ?? null);
    const ends = [
      // At once when something begins or ends, when the connection is back, and as the minutes pass.
      effect(() => {
        const next = connected.value ? `${began.value} ${batch.value} ${serviceMinute.value}` : '';
        if (next !== '' && next !== asked) void load();
        asked = next;
      }),
      effect(() => {
        if (keg.value === null || waiting !== null) return;
        waiting = later(PAUSE_MS, () => {
          waiting = null;
          if (connected.peek() && !document.hidden) void load();
        });
      }),
      effect(() => {
        if (connected.value) void loadDetails();
      }),
    ];
    return () => {
      for (const end of ends) end();
      waiting?.();
    };
  }

  return { report, details, trouble, load, start };
}

const nowIso = (): string => new Date(serviceNow.peek()).toISOString();

export const beginGasCheck = (kegId: string, shaken: boolean): Promise<Trouble | null> =>
  enterEvent(kegId, { kind: 'gas-check-started', at: nowIso(), ...(shaken ? { shaken } : {}) });

/** Ends the check. An ended check means an open valve, so a closed one is entered just after it. */
export async function endGasCheck(kegId: string, gas: 'open' | 'closed'): Promise<Trouble | null> {
  const at = nowIso();
  const refused = await enterEvent(kegId, { kind: 'gas-check-ended', at });
  if (refused !== null || gas === 'open') return refused;
  const after = new Date(Date.parse(at) + 1).toISOString();
  const trouble = await enterEvent(kegId, { kind: 'gas-closed', at: after });
  return trouble === null
    ? null
    : {
        ...trouble,
        lead: 'The check is ended, but that the gas stays closed was not taken. Enter it on the keg’s page.',
      };
}

import type { AlertHealth } from '../../../src/contract/alert.ts';
import { deviceNowMs } from '../../store/clock.ts';
import { SILENT_ALERT } from '../sample-states.ts';

/** Invented months, for examples and tests only. */
const DAY_MS = 24 * 3_600_000;
const BEGINS = [0, 1, 0, 2, 0, 0, 1, 0, 0, 0, 3, 0, 0, 1, 0, 0, 0, 0, 2, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 1];
const date = (index: number): string =>
  new Date(deviceNowMs() - (BEGINS.length - 1 - index) * DAY_MS).toISOString().slice(0, 10);

export const SAMPLE_HEALTH: AlertHealth = {
  days: BEGINS.map((begins, index) => ({
    date: date(index),
    begins,
    ends: BEGINS[index - 1] ?? 0,
    urgent: begins > 2 ? 1 : 0,
  })),
  noisiest: [
    { rule: 'fridge-warm', begins: 7 },
    { rule: 'cold-enough', begins: 1 },
  ],
  unsteady: [{ ...SILENT_ALERT, unsteady: true }],
  stale: [],
  unverified: [],
  muted: [{ ...SILENT_ALERT, mutedBecause: 'A new battery is ordered.' }],
  neverAcknowledged: [SILENT_ALERT],
  people: [
    {
      personId: 'anna',
      name: 'Anna',
      days: [
        { date: date(10), messages: 4 },
        { date: date(18), messages: 2 },
      ],
      waiting: 1,
      givenUp: 0,
    },
    { personId: 'bela', name: 'Bela', days: [], waiting: 0, givenUp: 1 },
  ],
  heartbeat: {
    state: 'works',
    everyMin: 5,
    lastSentAt: new Date(deviceNowMs() - 120_000).toISOString(),
    trouble: null,
  },
};

export const QUIET_HEALTH: AlertHealth = {
  ...SAMPLE_HEALTH,
  days: SAMPLE_HEALTH.days.map(({ date: day }) => ({ date: day, begins: 0, ends: 0, urgent: 0 })),
  noisiest: [],
  unsteady: [],
  muted: [],
  neverAcknowledged: [],
  people: [],
  heartbeat: { state: 'not-set', everyMin: null, lastSentAt: null, trouble: null },
};

import { h } from 'preact';
import type { KeptEvent } from '../../../src/contract/event.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { CurvePanel, type CurvePanelProps } from './curve-panel.tsx';
import type { CurveColumns } from './read-curve.ts';

const HOUR_MS = 3_600_000;
const nowMs = deviceNowMs();
const fromMs = nowMs - 144 * HOUR_MS;
const hours = Array.from({ length: 145 }, (_, index) => index);
const gap = (hour: number): boolean => hour > 70 && hour < 76;
const column = (value: (hour: number) => number) => hours.map((hour) => (gap(hour) ? null : value(hour)));
const extremes = (value: (hour: number) => number, half: number) => ({
  min: column((hour) => value(hour) - half),
  mean: column(value),
  max: column((hour) => value(hour) + half),
});
const none = hours.map(() => null);

const verdicts: CurveColumns['verdicts'] = [
  { atMs: fromMs - 5 * HOUR_MS, kind: 'unknown', headline: 'It takes the temperature of the beer to tell.' },
  { atMs: fromMs + 9 * HOUR_MS, kind: 'wait', headline: 'Time alone will do it: inside the window in 3 days.' },
  { atMs: fromMs + 90 * HOUR_MS, kind: 'ready', headline: 'Fill whenever you like.' },
  { atMs: fromMs + 91 * HOUR_MS, kind: 'wait', headline: 'Leave gas and fridge alone until both stand still.' },
  { atMs: fromMs + 93 * HOUR_MS, kind: 'ready', headline: 'Fill whenever you like.' },
  { atMs: fromMs + 120 * HOUR_MS, kind: 'act', headline: 'Turn the regulator to 63 kPa.' },
];

const columns: CurveColumns = {
  timeS: hours.map((hour) => (fromMs + hour * HOUR_MS) / 1000),
  end: column((hour) => 2.2 + 0.4 * (1 - Math.exp(-hour / 12))),
  dissolved: none,
  dissolvedLow: none,
  dissolvedHigh: none,
  beer: extremes((hour) => 1.5 + 4 * Math.exp(-hour / 12), 0.2),
  pressure: extremes((hour) => 66 + 2 * Math.sin(hour / 9), 1),
  air: extremes((hour) => 1 + Math.sin(hour), 0.6),
  verdicts: [],
  gaps: null,
  doubted: [],
};

const at = new Date(fromMs + 30 * HOUR_MS).toISOString();
const event: KeptEvent = { eventId: 'e1', kind: 'regulator-set', at, enteredAt: at, kegId: 'left' };

const base: CurvePanelProps = {
  columns,
  span: { fromMs, toMs: nowMs },
  range: { kind: 'last', hours: 168 },
  batchFromMs: fromMs,
  events: [event],
  target: { low: 2.3, high: 2.6 },
  units: DEFAULT_UNITS,
  zone: 'Europe/Vienna',
  nowMs,
  trouble: null,
  onRange: () => {},
};

export const examples: readonly Example[] = [
  { name: 'without an estimate', render: () => h(CurvePanel, base) },
  {
    name: 'with an estimate',
    render: () =>
      h(CurvePanel, {
        ...base,
        columns: {
          ...columns,
          verdicts,
          gaps: [
            { fromMs: fromMs + 71 * HOUR_MS, toMs: fromMs + 76 * HOUR_MS, cause: 'service-down' },
            { fromMs: fromMs + 100 * HOUR_MS, toMs: fromMs + 104 * HOUR_MS, cause: 'broker-dropped' },
          ],
          dissolved: column((hour) => 2.5 - 1.6 * Math.exp(-hour / 40)),
          dissolvedLow: column((hour) => 2.42 - 1.9 * Math.exp(-hour / 40)),
          dissolvedHigh: column((hour) => 2.58 - 1.3 * Math.exp(-hour / 40)),
        },
      }),
  },
  {
    name: 'with values that cannot be true',
    render: () => {
      const doubted = (hour: number, value: number) =>
        ({ quantity: 'beer-temperature', atMs: fromMs + hour * HOUR_MS, value }) as const;
      return h(CurvePanel, {
        ...base,
        columns: { ...columns, doubted: [doubted(22, 62.5), doubted(51, -21.4), doubted(110, 41.8), doubted(113, 43)] },
      });
    },
  },
  { name: 'waiting', render: () => h(CurvePanel, { ...base, columns: null }) },
  {
    name: 'in trouble',
    render: () => h(CurvePanel, { ...base, columns: null, trouble: 'The reading store does not answer.' }),
  },
];

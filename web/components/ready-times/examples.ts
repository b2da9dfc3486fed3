import { h } from 'preact';
import type { ReadyTimes } from '../../../src/contract/learning.ts';
import { deviceNowMs } from '../../store/clock.ts';
import type { Example } from '../example.ts';
import { ReadyTimesPart } from './ready-times.tsx';

const HOUR_MS = 3_600_000;
const at = (hours: number): string => new Date(deviceNowMs() + hours * HOUR_MS).toISOString();
const forecast = (sinceHours: number, hours: number, cameHours: number | null): ReadyTimes['forecasts'][0] => {
  const late = cameHours === null ? null : cameHours - (hours - sinceHours);
  return {
    at: at(-sinceHours),
    hours,
    lowHours: hours * 0.7,
    highHours: hours * 1.4,
    expectedAt: at(hours - sinceHours),
    lateHours: late,
    inRange: late === null ? null : Math.abs(late) < hours * 0.3,
  };
};
const show = (times: ReadyTimes) => h(ReadyTimesPart, { times, zone: 'UTC', nowMs: deviceNowMs() });

export const examples: readonly Example[] = [
  { name: 'nothing', render: () => show({ batchId: 'b1', inWindowAt: null, readyAt: null, forecasts: [] }) },
  {
    name: 'on its way',
    render: () => show({ batchId: 'b1', inWindowAt: null, readyAt: null, forecasts: [forecast(30, 80, null)] }),
  },
  {
    name: 'come',
    render: () =>
      show({
        batchId: 'b1',
        inWindowAt: at(-20),
        readyAt: at(-2),
        forecasts: [forecast(120, 101, -20), forecast(96, 60, -20), forecast(72, 52.2, -20)],
      }),
  },
];

import type { WhatIfAnswer } from '../../../src/contract/what-if.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** Invented answers about a keg left alone for a week, for examples and tests only. */
const hours = Array.from({ length: 85 }, (_, index) => index * 2);
const band = (from: number, end: number, half: number, later: number) => {
  const share = (hour: number): number => 1 - Math.exp(-hour / 60);
  const volumes = hours.map((hour) => from + (end - from) * share(hour));
  const width = (hour: number): number => half + (later - half) * share(hour);
  return {
    hours,
    volumes,
    low: volumes.map((value, index) => value - width(hours[index] ?? 0)),
    high: volumes.map((value, index) => value + width(hours[index] ?? 0)),
  };
};

const base = { kegId: 'right', at: new Date(deviceNowMs()).toISOString(), target: { low: 2.3, high: 2.6 } };

export const COMES_IN: WhatIfAnswer = {
  ...base,
  equilibriumVolumes: 2.46,
  start: { volumes: 2.1, low: 1.95, high: 2.25 },
  curve: band(2.1, 2.46, 0.15, 0.08),
  readyIn: { hours: 58, lowHours: 30, highHours: 92 },
  insideProbability: 0.97,
  passing: { probability: 0.01, hours: null },
  says: 'At 1.6 °C and 66 kPa it ends at 2.46 volumes, inside its window.',
};

export const PASSES: WhatIfAnswer = {
  ...base,
  equilibriumVolumes: 2.95,
  start: { volumes: 2.36, low: 2.17, high: 2.55 },
  curve: band(2.36, 2.95, 0.19, 0.1),
  readyIn: { hours: 4, lowHours: 0, highHours: 30 },
  insideProbability: 0.03,
  passing: { probability: 0.96, hours: 14 },
  says: 'At 1.6 °C and 95 kPa it ends at 2.95 volumes, past its window.',
};

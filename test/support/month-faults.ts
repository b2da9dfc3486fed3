import type { MonthSetup } from './simulated-month.ts';

/** A fault that is brought into the simulated month, and the alert that is to find it. */
export interface MonthFault {
  readonly what: string;
  /** When it begins, or when it can first be seen (h from the begin of the month). */
  readonly hour: number;
  readonly rule: string;
  readonly targets: readonly string[];
  /** Longest that finding it may take (h). */
  readonly withinHours: number;
}

const day = (days: number, hours = 0) => 24 * days + hours;

/** One fault of each kind, far enough apart that each is seen by itself. */
export const MONTH_FAULTS: readonly MonthFault[] = [
  {
    what: 'thermometer silent',
    hour: day(5),
    rule: 'probe-silent',
    targets: ['three.beer-temperature'],
    withinHours: 1,
  },
  {
    what: 'thermometer gives only its error value',
    hour: day(7),
    rule: 'probe-implausible',
    targets: ['two.beer-temperature'],
    withinHours: 1,
  },
  { what: 'fridge fails', hour: day(8), rule: 'fridge-warm', targets: ['fridge'], withinHours: 8 },
  {
    what: 'fridge set far too cold',
    hour: day(10, 12),
    rule: 'near-freezing',
    targets: ['one', 'two', 'three', 'four', 'five'],
    withinHours: 48,
  },
  { what: 'CO2 in the room 6,000 ppm', hour: day(12), rule: 'room-co2-long', targets: ['fridge'], withinHours: 9 },
  { what: 'CO2 in the room 20,000 ppm', hour: day(13), rule: 'room-co2-short', targets: ['fridge'], withinHours: 0.3 },
  {
    what: 'CO2 in the room 35,000 ppm',
    hour: day(13, 1),
    rule: 'room-co2-danger',
    targets: ['fridge'],
    withinHours: 0.1,
  },
  { what: 'broker away', hour: day(14), rule: 'service-trouble', targets: ['broker'], withinHours: 0.1 },
  {
    what: 'clock of the machine wrong',
    hour: day(14, 12),
    rule: 'service-trouble',
    targets: ['clock'],
    withinHours: 0.1,
  },
  {
    what: 'regulator creeps 12 kPa a day',
    hour: day(15),
    rule: 'regulator-creeping',
    targets: ['second', 'three', 'four'],
    withinHours: 48,
  },
  { what: 'keg leaks, gas closed for 12 h', hour: day(18), rule: 'leak', targets: ['two'], withinHours: 13 },
  {
    what: 'gas entered as closed, but it is open',
    hour: day(6, 12),
    rule: 'entry-contradicts-probes',
    targets: ['five'],
    withinHours: 30,
  },
  {
    what: 'cylinder valve shut, two kegs on it',
    hour: day(21),
    rule: 'pressure-falling',
    targets: ['second', 'three', 'four'],
    withinHours: 48,
  },
  { what: 'line leaks a kilogram a day', hour: day(23), rule: 'leak', targets: ['gas'], withinHours: 30 },
  { what: 'cylinder below 0.3 kg', hour: day(25), rule: 'cylinder-low', targets: ['gas'], withinHours: 72 },
  {
    what: 'regulator set to 105 kPa',
    hour: day(24),
    rule: 'will-pass-window',
    targets: ['three', 'four'],
    withinHours: 48,
  },
  { what: 'beer past its window', hour: day(24), rule: 'over-window', targets: ['three', 'four'], withinHours: 144 },
  {
    what: 'keg out of the fridge during a fill',
    hour: day(26, 4),
    rule: 'no-longer-cold',
    targets: ['four'],
    withinHours: 3,
  },
  {
    what: 'pressure probe stands still',
    hour: day(20),
    rule: 'probe-implausible',
    targets: ['one.headspace-pressure'],
    withinHours: 110,
  },
  {
    what: 'regulator set to 850 kPa',
    hour: day(29, 12),
    rule: 'over-working-pressure',
    targets: ['three', 'four'],
    withinHours: 2,
  },
];

export function faultyMonth(seed: number, days: number): MonthSetup {
  const at = <A extends object>(hour: number, on: string, act: A) => ({ hour, on, act });
  return {
    seed,
    days,
    acts: [
      at(day(8), 'fridge', { kind: 'fail-fridge' } as const),
      at(day(8, 12), 'fridge', { kind: 'repair-fridge' } as const),
      at(day(10, 12), 'fridge', { kind: 'set-fridge', celsius: -4 } as const),
      at(day(11, 12), 'fridge', { kind: 'set-fridge', celsius: 1.5 } as const),
      at(day(15), 'second', { kind: 'drift-regulator', kpaPerDay: 12, endKpa: 40 } as const),
      at(day(17), 'second', { kind: 'set-regulator', kpaGauge: 57 } as const),
      at(day(18), 'two', { kind: 'leak', areaM2: 1.5e-9 } as const),
      at(day(18), 'two', { kind: 'close-gas' } as const),
      at(day(18, 14), 'two', { kind: 'leak', areaM2: 0 } as const),
      at(day(18, 14), 'two', { kind: 'open-gas' } as const),
      at(day(21), 'second', { kind: 'turn-cylinder', open: false } as const),
      at(day(23), 'second', { kind: 'turn-cylinder', open: true } as const),
      at(day(23), 'gas', { kind: 'leak-line', areaM2: 3.5e-8 } as const),
      at(day(24), 'second', { kind: 'set-regulator', kpaGauge: 105 } as const),
      at(day(26, 4), 'four', { kind: 'out-of-fridge' } as const),
      at(day(26, 7), 'four', { kind: 'into-fridge' } as const),
      at(day(29, 12), 'second', { kind: 'set-regulator', kpaGauge: 850 } as const),
    ],
    entries: [
      { hour: day(17), kegId: 'three', body: { kind: 'regulator-set', supply: 'second', kpaGauge: 58 } },
      { hour: day(18), kegId: 'two', body: { kind: 'gas-closed' } },
      { hour: day(18, 14), kegId: 'two', body: { kind: 'gas-opened' } },
      { hour: day(6, 12), kegId: 'five', body: { kind: 'gas-closed' } },
      { hour: day(7, 20), kegId: 'five', body: { kind: 'gas-opened' } },
      { hour: day(24), kegId: 'three', body: { kind: 'regulator-set', supply: 'second', kpaGauge: 105 } },
      { hour: day(26, 3), kegId: 'four', body: { kind: 'fill-started' } },
      { hour: day(26, 8), kegId: 'four', body: { kind: 'fill-ended' } },
    ],
    faults: {
      'probes/three/beer-temperature': [{ kind: 'silent', fromHour: day(5), untilHour: day(6) }],
      'probes/two/beer-temperature': [
        { kind: 'sentinel', chance: 1, value: 85, fromHour: day(7), untilHour: day(7, 6) },
      ],
      'probes/one/headspace-pressure': [{ kind: 'stuck', fromHour: day(20), untilHour: day(26) }],
    },
    roomCo2Ppm: (hour) => {
      if (hour >= day(12) && hour < day(12, 12)) return 6000;
      if (hour >= day(13) && hour < day(13, 0.7)) return 20_000;
      if (hour >= day(13, 1) && hour < day(13, 1.3)) return 35_000;
      return 600 + 200 * Math.sin(hour);
    },
    health: (hour) => {
      if (hour >= day(14) && hour < day(14, 3)) return { broker: 'refused the connection' };
      return hour >= day(14, 12) && hour < day(14, 14) ? { clock: 'it shows a time long past' } : {};
    },
  };
}

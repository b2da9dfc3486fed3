import { DAY_HOURS, FRIDGE_ID, type Script, SUPPLY_ID } from './script.ts';
import type { Situation } from './situation.ts';

const setAndForget = (celsius: number, kpaLow: number, kpaHigh: number): Situation => ({
  name: `set-and-forget-${celsius}c`,
  group: 'calm',
  about: `On gas at ${celsius} °C and left alone.`,
  wishes: (random) => ({ fridgeC: celsius, kpaGauge: random.uniform(kpaLow, kpaHigh) }),
});

function lower(script: Script, hour: number, kpaGauge: number): void {
  // Turned down, then vented so that the regulator's own pressure rules the keg again.
  script.happen(hour, { kind: 'set-regulator', kpaGauge }, SUPPLY_ID);
  script.happen(hour + 0.01, { kind: 'vent', toKpaGauge: kpaGauge - 3 });
  script.enter(hour, { kind: 'regulator-set', supply: SUPPLY_ID, kpaGauge: Math.round(kpaGauge) });
  script.enter(hour + 0.01, { kind: 'keg-vented' });
}

const check = (
  name: string,
  about: string,
  closings: readonly (readonly [number, number])[],
  shaken = false,
): Situation => ({
  name,
  group: 'checks',
  about,
  write: (script) => {
    for (const [day, hours] of closings) script.check(day * DAY_HOURS + script.random.uniform(-2, 2), hours, shaken);
  },
});

const daily = (hours: number) => [1, 2, 3, 4, 5, 6, 7].map((day) => [day, hours] as const);

export const CALM: readonly Situation[] = [
  setAndForget(3, 60, 85),
  setAndForget(7, 80, 110),
  setAndForget(12, 105, 140),
  {
    name: 'chilled-late',
    group: 'calm',
    about: 'On gas in a warm room for some days, then into the fridge.',
    wishes: { inFridge: false, roomC: 18 },
    write: (script) => {
      const hour = script.random.uniform(36, 120);
      script.happen(hour, { kind: 'into-fridge' });
      script.happen(hour, { kind: 'shake', seconds: 20, vigour: 0.1 });
      script.enter(hour, { kind: 'keg-moved' });
    },
  },
  {
    name: 'high-start-lowered',
    group: 'calm',
    about: 'Two bar for a day or so, then lowered to serving pressure in time.',
    wishes: { kpaGauge: 200, fridgeC: 3 },
    write: (script) => lower(script, script.random.uniform(16, 30), script.random.uniform(65, 80)),
  },
  {
    name: 'high-start-forgotten',
    group: 'calm',
    about: 'Two bar, remembered only after four to six days; then turned down and vented.',
    wishes: { kpaGauge: 200, fridgeC: 3 },
    write: (script) => lower(script, script.random.uniform(96, 150), script.random.uniform(65, 80)),
  },
  {
    name: 'unknown-start',
    group: 'calm',
    about: 'Added half carbonated, with its state entered as unknown.',
    wishes: (random) => ({ startTrueVolumes: random.uniform(1.2, 2.3), beerState: 'unknown', beerC: 6 }),
  },
  {
    name: 'half-carbonated-called-flat',
    group: 'mistakes',
    about: 'Came half carbonated from another keg and was entered as flat.',
    wishes: (random) => ({ startTrueVolumes: random.uniform(1.5, 2.2), beerC: 5 }),
  },
  {
    name: 'with-barometer',
    group: 'calm',
    about: 'Left alone, with a barometer.',
    wishes: { barometer: true },
    write: (script) => script.check(60, 6),
  },
  check('check-30min-daily', 'Gas closed for half an hour every day.', daily(0.5)),
  check('check-1h-daily', 'Gas closed for an hour every day.', daily(1)),
  check('check-4h-day-2', 'One check of four hours on day 2.', [[2, 4]]),
  check('check-4h-odd-days', 'Checks of four hours on days 1, 3, 5 and 7.', [
    [1, 4],
    [3, 4],
    [5, 4],
    [7, 4],
  ]),
  check('check-12h-days-2-6', 'Checks of twelve hours on days 2 and 6.', [
    [2, 12],
    [6, 12],
  ]),
  check('check-shaken-day-2', 'One shaken check on day 2.', [[2, 0.5]], true),
  check(
    'check-shaken-three',
    'Shaken checks on days 1, 3 and 6.',
    [
      [1, 0.5],
      [3, 0.5],
      [6, 0.5],
    ],
    true,
  ),
  {
    name: 'altitude-2000m',
    group: 'vessel',
    about: 'At 2,000 m, checked on days 2 and 5.',
    wishes: { altitudeM: 2000 },
    write: (script) => {
      script.check(48, 5);
      script.check(120, 5);
    },
  },
  {
    name: 'near-freezing',
    group: 'fridge',
    about: 'A fridge set to −1 °C.',
    wishes: { fridgeC: -1, kpaGauge: 55 },
    write: (script) => script.check(72, 6),
  },
  {
    name: 'door-open',
    group: 'fridge',
    about: 'The door stays open for a night on day 4.',
    write: (script) => {
      const hour = script.random.uniform(90, 110);
      script.happen(hour, { kind: 'open-door', seconds: 3600 * script.random.uniform(5, 10) }, FRIDGE_ID);
    },
  },
  {
    name: 'fridge-failure',
    group: 'fridge',
    about: 'The compressor fails on day 3 to 5 and is repaired one to three days later.',
    write: (script) => {
      const hour = script.random.uniform(72, 120);
      script.happen(hour, { kind: 'fail-fridge' }, FRIDGE_ID);
      script.happen(hour + script.random.uniform(24, 72), { kind: 'repair-fridge' }, FRIDGE_ID);
    },
  },
];

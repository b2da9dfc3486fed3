import { between, DAY_HOURS, type Script, SUPPLY_ID, type Wishes } from './script.ts';
import type { Situation } from './situation.ts';

const ALWAYS_HOURS = 1000;

function twoChecks(script: Script, hours: number): void {
  script.check(2 * DAY_HOURS, hours);
  script.check(5 * DAY_HOURS, hours);
}

const kegLeak = (size: string, lowM2: number, highM2: number, closed: boolean): Situation => ({
  name: `leak-${size}-${closed ? 'checked' : 'on-gas'}`,
  group: 'leaks',
  about: `A ${size} leak at the keg from the start, ${closed ? 'with the gas closed for six hours on days 2 and 5' : 'with the gas always on'}.`,
  write: (script) => {
    script.happen(0.1, { kind: 'leak', areaM2: script.random.logUniform(lowM2, highM2) });
    if (closed) twoChecks(script, 6);
  },
});

export const LEAKS: readonly Situation[] = [
  kegLeak('small', 8e-11, 3e-10, false),
  kegLeak('large', 3e-9, 2e-8, false),
  kegLeak('small', 8e-11, 3e-10, true),
  kegLeak('medium', 4e-10, 2e-9, true),
  kegLeak('large', 3e-9, 2e-8, true),
  {
    name: 'leak-begins-while-closed',
    group: 'leaks',
    about: 'The gas is closed on day 6 for good and a leak begins a day later.',
    write: (script) => {
      script.check(3 * DAY_HOURS, 5);
      script.happen(144, { kind: 'close-gas' });
      script.enter(144, { kind: 'gas-closed' });
      script.happen(168, { kind: 'leak', areaM2: script.random.logUniform(2e-10, 2e-9) });
    },
  },
  {
    name: 'line-leak',
    group: 'leaks',
    about: 'A leak before the shut-off empties the cylinder; no check of the keg shows it.',
    wishes: { supply: { cylinderFullKg: 2, cylinderKg: 1 } },
    write: (script) => {
      script.happen(0.1, { kind: 'leak-line', areaM2: script.random.logUniform(1e-9, 1e-8) }, SUPPLY_ID);
      twoChecks(script, 5);
    },
  },
];

export const SUPPLY: readonly Situation[] = [
  {
    name: 'cylinder-empty',
    group: 'supply',
    about: 'The cylinder runs out in the first days and is changed on day 8.',
    wishes: (random) => ({ supply: { cylinderFullKg: 2, cylinderKg: random.uniform(0.03, 0.055) } }),
    write: (script) => {
      script.happen(192, { kind: 'change-cylinder', kg: 2 }, SUPPLY_ID);
      script.enter(192, { kind: 'cylinder-changed', supply: SUPPLY_ID });
    },
  },
  {
    name: 'regulator-creep',
    group: 'supply',
    about: 'The set-point wanders up by 20 to 60 kPa within days.',
    write: (script) => {
      const endKpa = script.random.uniform(20, 60);
      const act = { kind: 'drift-regulator', kpaPerDay: endKpa / script.random.uniform(0.5, 4), endKpa } as const;
      script.happen(script.random.uniform(48, 140), act, SUPPLY_ID);
    },
  },
  {
    name: 'regulator-seat-leaks',
    group: 'supply',
    about: 'Gas passes the closed seat, more than the beer takes up.',
    write: (script) => {
      const act = { kind: 'leak-seat', molPerS: script.random.logUniform(3e-6, 3e-5), endKpa: 50 } as const;
      script.happen(script.random.uniform(48, 140), act, SUPPLY_ID);
    },
  },
  {
    name: 'shared-line-new-keg',
    group: 'supply',
    about: 'A flat keg joins the line on day 5; without check valves the two come level.',
    wishes: {
      neighbours: [
        {
          id: 'two',
          supplyId: SUPPLY_ID,
          totalL: 19.5,
          beerL: 15,
          diameterM: 0.215,
          beerC: 15,
          dissolved: { trueVolumes: 0.8 },
          gasOpen: false,
        },
      ],
    },
    write: (script) => {
      script.happen(120, { kind: 'open-gas' }, 'two');
      script.check(168, 5);
    },
  },
];

const probe = (name: string, about: string, wishes: Wishes): Situation => ({
  name,
  group: 'probe',
  about,
  wishes,
  write: (script) => script.check(72, 5),
});

const silent = between(100, 112, { kind: 'silent' });

export const PROBES: readonly Situation[] = [
  probe('probe-silent-12h', 'Both probes are silent for twelve hours on day 5.', {
    thermometer: { faults: [silent] },
    gauge: { faults: [silent] },
  }),
  probe('pressure-mis-zeroed', 'The gauge reads 6 kPa too high.', { gauge: { offset: 6 } }),
  probe('pressure-drifts', 'The zero of the gauge wanders by 0.4 kPa a day.', { gauge: { driftPerDay: 0.4 } }),
  probe('wall-probe', 'The thermometer is on the wall.', { probe: 'wall' }),
  probe('air-probe', 'The thermometer hangs in the air of the fridge.', { probe: 'air' }),
  probe('bad-messages', 'Wild values, sentinels, doubles, losses and late messages throughout.', {
    thermometer: {
      faults: [
        between(0, ALWAYS_HOURS, { kind: 'sentinel', chance: 0.004, value: 85 }),
        between(0, ALWAYS_HOURS, { kind: 'sentinel', chance: 0.004, value: -127 }),
        between(0, ALWAYS_HOURS, { kind: 'doubled', chance: 0.02 }),
        between(0, ALWAYS_HOURS, { kind: 'lost', chance: 0.05 }),
      ],
    },
    gauge: {
      faults: [
        between(0, ALWAYS_HOURS, { kind: 'wild', chance: 0.01, spread: 60 }),
        between(0, ALWAYS_HOURS, { kind: 'doubled', chance: 0.02 }),
        between(0, ALWAYS_HOURS, { kind: 'late', chance: 0.02, byMs: 900_000 }),
      ],
    },
  }),
  probe('held-messages', 'The device is offline for eight hours and delivers them afterwards.', {
    thermometer: { faults: [between(60, 68, { kind: 'held' })] },
    gauge: { faults: [between(60, 68, { kind: 'held' })] },
  }),
  probe('clock-skewed', 'The clock of the gauge is four minutes slow.', {
    gauge: { faults: [between(0, ALWAYS_HOURS, { kind: 'clock-skew', byMs: -240_000 })] },
  }),
  probe('other-payloads', 'The thermometer sends SenML packs, the gauge bare numbers without a time.', {
    thermometer: { form: { shape: 'senml', unit: 'Cel', time: 'unix-s', decimals: 4 } },
    gauge: { form: { shape: 'number', unit: 'kPa', time: null, decimals: 2 } },
  }),
  probe('pressure-stuck', 'The gauge repeats one value for ten hours.', {
    gauge: { faults: [between(80, 90, { kind: 'stuck' })] },
  }),
];

const mistake = (
  name: string,
  about: string,
  wishes: Wishes,
  write: (script: Script) => void = () => undefined,
): Situation => ({
  name,
  group: 'mistakes',
  about,
  wishes,
  write,
});

export const MISTAKES: readonly Situation[] = [
  mistake('valve-not-turned', 'A check is entered but the valve stays open.', {}, (script) => {
    script.enter(48, { kind: 'gas-closed' });
    script.enter(48, { kind: 'gas-check-started' });
    script.enter(54, { kind: 'gas-check-ended' });
    script.enter(54, { kind: 'gas-opened' });
  }),
  mistake('closing-not-entered', 'The gas is closed for a day and nothing is entered.', {}, (script) => {
    script.happen(60, { kind: 'close-gas' });
    script.happen(84, { kind: 'open-gas' });
  }),
  mistake(
    'gas-never-opened',
    '"Gas opened" is entered but the valve stays closed for three days.',
    { onGas: false, enterGasOpened: true },
    (script) => {
      script.happen(72, { kind: 'open-gas' });
    },
  ),
  mistake(
    'never-purged',
    'The headspace was never purged, and that is entered.',
    { purges: 0, fullness: 0.9 },
    (script) => twoChecks(script, 6),
  ),
  mistake(
    'never-purged-unsaid',
    'The headspace was never purged; nothing is entered.',
    { purges: 0, enteredPurges: null, fullness: 0.9 },
    (script) => twoChecks(script, 6),
  ),
  mistake('wrong-regulator-reading', 'The regulator gives 15 kPa less than its dial says.', {
    kpaGauge: 65,
    enteredKpaGauge: 80,
  }),
];

import { DAY_HOURS, type Script, SUPPLY_ID, type Wishes } from './script.ts';
import type { Situation } from './situation.ts';

const use = (name: string, about: string, wishes: Wishes, write: (script: Script) => void): Situation => ({
  name,
  group: 'use',
  about,
  wishes,
  write,
});

const vessel = (name: string, about: string, wishes: Wishes): Situation => ({
  name,
  group: 'vessel',
  about,
  wishes,
  write: (script) => {
    script.check(3 * DAY_HOURS, 6);
  },
});

function pour(script: Script, hour: number, litres: number): void {
  script.happen(hour, { kind: 'draw', litres });
  script.enter(hour, { kind: 'beer-drawn', litres });
}

/** Serving pressure is lowered, a dozen bottles are filled, and the pressure comes back. */
function fillBottles(script: Script): void {
  const hour = 11 * DAY_HOURS;
  script.enter(hour, { kind: 'bottles-chilled' });
  script.happen(hour, { kind: 'set-regulator', kpaGauge: script.kpaGauge - 15 }, SUPPLY_ID);
  script.enter(hour, { kind: 'regulator-set', supply: SUPPLY_ID, kpaGauge: Math.round(script.kpaGauge - 15) });
  script.enter(hour + 0.1, { kind: 'fill-started' });
  for (let bottle = 0; bottle < 12; bottle += 1) pour(script, hour + 0.1 + bottle * 0.06, 0.5);
  script.enter(hour + 0.9, { kind: 'fill-ended' });
  script.happen(hour + 1, { kind: 'set-regulator', kpaGauge: script.kpaGauge }, SUPPLY_ID);
  script.enter(hour + 1, { kind: 'regulator-set', supply: SUPPLY_ID, kpaGauge: Math.round(script.kpaGauge) });
}

export const USE: readonly Situation[] = [
  use('draws', 'A glass or a jug every evening from day 4.', {}, (script) => {
    for (let day = 4; day < 14; day += 1)
      pour(script, day * DAY_HOURS + script.random.uniform(0, 4), script.random.uniform(0.3, 1.5));
    script.check(6 * DAY_HOURS + 8, 5);
  }),
  use('draws-not-entered', 'Beer is poured on many evenings and never entered.', {}, (script) => {
    for (let day = 3; day < 14; day += 2) {
      script.happen(day * DAY_HOURS, { kind: 'draw', litres: script.random.uniform(0.5, 2) });
    }
  }),
  use('fill-day', 'Twelve bottles are filled on day 11.', {}, (script) => {
    script.check(7 * DAY_HOURS, 6);
    fillBottles(script);
  }),
  use('shaken-on-gas', 'Shaken for ten to twenty minutes on gas on day 1.', { kpaGauge: 100, fridgeC: 3 }, (script) => {
    const seconds = script.random.integer(600, 1200);
    script.happen(DAY_HOURS, { kind: 'shake', seconds, vigour: script.random.uniform(0.4, 1) });
    script.enter(DAY_HOURS, { kind: 'keg-shaken', seconds });
    script.happen(30, { kind: 'set-regulator', kpaGauge: 72 }, SUPPLY_ID);
    script.enter(30, { kind: 'regulator-set', supply: SUPPLY_ID, kpaGauge: 72 });
  }),
  use('moved', 'Carried to another place on days 3 and 8.', {}, (script) => {
    for (const hour of [72, 190]) {
      script.happen(hour, { kind: 'shake', seconds: 120, vigour: script.random.uniform(0.05, 0.3) });
      script.enter(hour, { kind: 'keg-moved' });
    }
  }),
  use('stone', 'A diffusion stone is used on day 1.', { fridgeC: 3 }, (script) => {
    script.happen(DAY_HOURS, { kind: 'stone', hours: script.random.uniform(6, 12) });
    script.enter(DAY_HOURS, { kind: 'diffusion-stone-started' });
  }),
  use(
    'vented-down',
    'Beer far above its window is brought down by venting in steps with the gas closed.',
    { startTrueVolumes: 3.1, beerState: 'carbonated', beerC: 4, fridgeC: 4, onGas: false },
    (script) => {
      script.enter(0.05, { kind: 'gas-closed' });
      for (let step = 0; step < 8; step += 1) {
        script.happen(24 + step * 4, { kind: 'vent', toKpaGauge: 20 });
        script.enter(24 + step * 4, { kind: 'keg-vented' });
      }
    },
  ),
  use(
    'slight-refermentation',
    'Yeast finds a little left to ferment, with the gas on.',
    { fridgeC: 8, kpaGauge: 90 },
    (script) => {
      script.happen(1, { kind: 'referment', volumes: script.random.uniform(0.1, 0.6) });
      script.check(5 * DAY_HOURS, 6);
    },
  ),
  use(
    'refermentation-closed',
    'Primed and closed at cellar temperature, chilled on day 8.',
    { inFridge: false, roomC: 17, beerState: 'priming', onGas: false },
    (script) => {
      script.enter(0.05, { kind: 'gas-closed' });
      script.happen(1, { kind: 'referment', volumes: script.random.uniform(0.8, 1.4) });
      script.happen(192, { kind: 'into-fridge' });
      script.enter(192, { kind: 'keg-moved' });
    },
  ),
  vessel('half-full', 'Only half full.', { fullness: 0.5 }),
  vessel('nearly-empty-headspace', 'Filled almost to the brim.', { fullness: 0.99 }),
  vessel('keg-60l', 'A keg of about 60 L.', { vessel: { totalL: 59.5, diameterM: 0.395 }, days: 20 }),
  vessel('keg-9l', 'A small keg of about 9 L.', { vessel: { totalL: 9.6, diameterM: 0.215 } }),
];

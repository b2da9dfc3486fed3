import type { EventEntry } from '../../src/contract/index.ts';
import type { Act, TimedAct } from '../../src/simulate/acts.ts';
import { type Cellar, createCellar } from '../../src/simulate/cellar.ts';
import type { KegPlan } from '../../src/simulate/cellar-truth.ts';
import type { PayloadForm } from '../../src/simulate/payload.ts';
import type { ProbeFault, ProbeSetup } from '../../src/simulate/probe.ts';
import { createRandom } from '../../src/simulate/random.ts';
import { DAY, HOUR, iso, MINUTE } from './builders.ts';
import { FakeClock } from './fake-clock.ts';
import { LIGHT_MODEL } from './light-model.ts';
import { World } from './world.ts';

/** Five kegs of a club in one fridge, on two cylinders, over weeks; on a clock of their own and through the real application. */
export interface MonthSetup {
  readonly seed: number;
  readonly days: number;
  /** How often each probe speaks (ms). */
  readonly everyMs?: number;
  /** What goes wrong, by hours from the begin. */
  readonly acts?: readonly { readonly hour: number; readonly on: string; readonly act: Act }[];
  /** Faults of probes, by topic. */
  readonly faults?: Readonly<Record<string, readonly WithoutSpan<ProbeFault>[]>>;
  /** Values in the place of those of a probe that the cellar does not have, such as CO2 in the room: hour to value. */
  readonly roomCo2Ppm?: (hour: number) => number | null;
  /** Entries besides the usual ones. */
  readonly entries?: readonly { readonly hour: number; readonly kegId: string; readonly body: EntryBody }[];
  /** What is wrong with parts of the service at an hour. */
  readonly health?: (hour: number) => { broker?: string; clock?: string };
}
type EntryBody = EventEntry extends infer E ? (E extends unknown ? Omit<E, 'at'> : never) : never;
type WithoutSpan<F> = F extends unknown
  ? Omit<F, 'fromMs' | 'untilMs'> & { readonly fromHour: number; readonly untilHour: number }
  : never;

export interface Told {
  readonly hour: number;
  readonly turn: 'begin' | 'end';
  readonly id: string;
  readonly rule: string;
  readonly target: string;
  readonly level: string;
  readonly message: string;
  readonly advice: string;
  /** What the beer truly holds, as the chart would report it (volumes); null where it is not about a keg. */
  readonly trueVolumes: number | null;
}

export const BEGIN_MS = Date.UTC(2026, 2, 2, 9);
const FRIDGE_C = 1.5;
const KPA = 58;

interface ClubKeg {
  readonly id: string;
  readonly beer: string;
  readonly supplyId: 'gas' | 'second';
  readonly filledHour: number;
  readonly abvPercent: number;
}
export const CLUB: readonly ClubKeg[] = [
  { id: 'one', beer: 'Ladder Shed Pale', supplyId: 'gas', filledHour: 1, abvPercent: 4.6 },
  { id: 'two', beer: 'Plum Lane Amber', supplyId: 'gas', filledHour: 2, abvPercent: 5.1 },
  { id: 'three', beer: 'Button Tin Porter', supplyId: 'second', filledHour: 3, abvPercent: 5.4 },
  { id: 'four', beer: 'Rake Handle Wheat', supplyId: 'second', filledHour: 4 * 24, abvPercent: 4.9 },
  { id: 'five', beer: 'Long Hedge Bitter', supplyId: 'gas', filledHour: 6 * 24, abvPercent: 3.9 },
];

const object = (unit: string, decimals: number): PayloadForm => ({ shape: 'object', unit, time: 'rfc3339', decimals });
const atHour = (hour: number) => BEGIN_MS + Math.round(hour * HOUR);

/** Plays a month; gives all that was told, begins and ends, in order. */
export async function playMonth(setup: MonthSetup): Promise<Told[]> {
  const { cellar, entries } = stage(setup);
  const clock = new FakeClock(BEGIN_MS);
  let hour = 0;
  const health = () => ({ broker: null, spool: null, store: null, clock: null, ...setup.health?.(hour) });
  const world = await World.make({ clock, estimating: true, health, model: LIGHT_MODEL });
  furnish(world);
  const told: Told[] = [];
  const seen = new Set<string>();
  const endMs = BEGIN_MS + setup.days * DAY;
  for (let atMs = BEGIN_MS + MINUTE; atMs <= endMs; atMs += MINUTE) {
    hour = (atMs - BEGIN_MS) / HOUR;
    while (entries[0] !== undefined && entries[0].atMs <= atMs) {
      const entry = entries.shift();
      if (entry !== undefined) entry.run(world);
    }
    for (const { topic, payload, deliverAtMs } of cellar.advanceTo(atMs)) {
      if (deliverAtMs > clock.nowMs()) clock.advanceTo(deliverAtMs);
      // While the broker is away nothing is heard.
      if (health().broker === null) await world.hear(topic, payload);
    }
    clock.advanceTo(atMs);
    const ppm = setup.roomCo2Ppm?.(hour) ?? null;
    if (ppm !== null && health().broker === null) await world.hear('probes/place/fridge/room-co2', ppm);
    world.tick();
    // Estimates that are computed from the store have their turn.
    await new Promise((resolve) => setImmediate(resolve));
    collect(world, cellar, told, seen, hour);
  }
  return told;
}

function collect(world: World, cellar: Cellar, told: Told[], seen: Set<string>, hour: number): void {
  for (const frame of world.frames.splice(0)) {
    if (frame.type !== 'alert') continue;
    const { id, state, rule, target, level, message, advice, kegId } = frame.episode;
    const trueVolumes = kegId === null ? null : (cellar.truth(kegId)?.chartVolumes ?? null);
    const turn = state === 'ended' ? 'end' : 'begin';
    if (seen.has(`${id} ${turn}`)) continue;
    seen.add(`${id} ${turn}`);
    told.push({ hour, turn, id, rule, target, level, message, advice, trueVolumes });
  }
}

function furnish(world: World): void {
  const { placeChanges, kegChanges } = world.services;
  placeChanges.putSite({ altitudeM: 180 });
  placeChanges.putPlace('fridge', { name: 'Garage fridge' });
  placeChanges.putSupply('gas', { name: 'Shared cylinder', co2Ratio: 1, cylinderKg: 6 });
  placeChanges.putSupply('second', { name: 'Second cylinder', co2Ratio: 1, cylinderKg: 6 });
  for (const { id, supplyId } of CLUB) {
    kegChanges.putKeg(id, { capacityL: 19, workingKpaGaugeMax: 800, placeId: 'fridge', supplyId });
  }
}

interface Entry {
  readonly atMs: number;
  readonly run: (world: World) => void;
}

/** What truly happens, and what the club enters of it. */
function stage(setup: MonthSetup): { cellar: Cellar; entries: Entry[] } {
  const random = createRandom(setup.seed, 'month');
  const acts: TimedAct[] = (setup.acts ?? []).map(({ hour, on, act }) => ({ atMs: atHour(hour), on, act }));
  const entries: Entry[] = [];
  const enter = (hour: number, kegId: string, body: EntryBody) => {
    const run = (world: World) => {
      const entry = { ...body, at: iso(atHour(hour)) } as EventEntry;
      const outcome = world.services.kegChanges.addEvent(kegId, entry);
      if (!outcome.ok) throw new Error(outcome.detail);
    };
    entries.push({ atMs: atHour(hour), run });
  };
  enter(0.1, 'one', { kind: 'fridge-set', place: 'fridge', celsius: FRIDGE_C });
  enter(0.1, 'one', { kind: 'regulator-set', supply: 'gas', kpaGauge: KPA });
  enter(0.1, 'three', { kind: 'regulator-set', supply: 'second', kpaGauge: KPA });
  for (const { hour, kegId, body } of setup.entries ?? []) enter(hour, kegId, body);
  const plans = CLUB.map((keg): KegPlan => {
    const beerL = 18.5 + random.uniform(-0.3, 0.3);
    fill(keg, beerL, entries, enter, acts);
    drink(keg, setup, random, enter, acts);
    return {
      id: keg.id,
      supplyId: keg.supplyId,
      filledAtMs: atHour(keg.filledHour),
      totalL: 19.4,
      beerL,
      diameterM: 0.215,
      beerC: 17 + random.uniform(-2, 2),
      dissolved: { chartVolumes: 0.85 + random.uniform(-0.05, 0.05) },
      gasOpen: false,
      checkValve: true,
    };
  });
  for (let day = 0; day < setup.days; day += 1) {
    for (let opening = random.integer(3, 9); opening > 0; opening -= 1) {
      const hour = day * 24 + random.uniform(0, 14);
      acts.push({ atMs: atHour(hour), on: 'fridge', act: { kind: 'open-door', seconds: random.integer(10, 90) } });
    }
  }
  entries.sort((a, b) => a.atMs - b.atMs);
  const cellar = createCellar({
    seed: setup.seed,
    startMs: BEGIN_MS,
    site: { altitudeM: 180, roomMeanC: 14, roomDailyK: 3 },
    fridge: { id: 'fridge', setC: FRIDGE_C },
    supplies: ['gas', 'second'].map((id) => ({ id, setKpaGauge: KPA - 1, cylinderFullKg: 6, cylinderKg: 4 })),
    kegs: plans,
    probes: probesOf(setup, random),
    timeline: acts,
  });
  return { cellar, entries };
}

function fill(
  keg: ClubKeg,
  beerL: number,
  entries: Entry[],
  enter: (hour: number, kegId: string, body: EntryBody) => void,
  acts: TimedAct[],
): void {
  const { id, filledHour, beer, abvPercent } = keg;
  const run = (world: World) => {
    const outcome = world.services.kegChanges.startBatch(id, {
      at: iso(atHour(filledHour)),
      name: beer,
      abvPercent,
      totalLitres: 19.4,
      beerLitres: Math.round(beerL * 10) / 10,
      diameterMetres: 0.215,
      beerCelsius: 17,
      fermentedAtCelsius: 19,
      beerState: 'flat',
      probe: 'thermowell',
    });
    if (!outcome.ok) throw new Error(outcome.detail);
  };
  entries.push({ atMs: atHour(filledHour), run });
  enter(filledHour + 0.02, id, { kind: 'target-set', volumes: 2.25, tolerance: 0.25, celsius: 2 });
  acts.push({ atMs: atHour(filledHour + 0.05), on: id, act: { kind: 'purge', times: 5, kpaGauge: 200 } });
  enter(filledHour + 0.05, id, { kind: 'headspace-purged', times: 5, kpaGauge: 200 });
  acts.push({ atMs: atHour(filledHour + 0.1), on: id, act: { kind: 'open-gas' } });
  enter(filledHour + 0.1, id, { kind: 'gas-opened' });
}

/** Some gas checks, and from the tenth day a glass or a jug on most evenings. */
function drink(
  { id, filledHour }: ClubKeg,
  { days }: MonthSetup,
  random: ReturnType<typeof createRandom>,
  enter: (hour: number, kegId: string, body: EntryBody) => void,
  acts: TimedAct[],
): void {
  for (const day of [4, 9]) {
    const from = filledHour + day * 24 + random.uniform(0, 3);
    acts.push({ atMs: atHour(from), on: id, act: { kind: 'close-gas' } });
    enter(from, id, { kind: 'gas-closed' });
    enter(from, id, { kind: 'gas-check-started' });
    acts.push({ atMs: atHour(from + 5), on: id, act: { kind: 'open-gas' } });
    enter(from + 5, id, { kind: 'gas-check-ended' });
    enter(from + 5, id, { kind: 'gas-opened' });
  }
  for (let day = Math.ceil(filledHour / 24) + 11; day < days; day += 1) {
    if (random.uniform(0, 1) > 0.6) continue;
    const hour = day * 24 + random.uniform(8, 13);
    const litres = random.uniform(0.3, 0.9);
    acts.push({ atMs: atHour(hour), on: id, act: { kind: 'draw', litres } });
    enter(hour, id, { kind: 'beer-drawn', litres: Math.round(litres * 10) / 10 });
  }
}

function probesOf(setup: MonthSetup, random: ReturnType<typeof createRandom>): ProbeSetup[] {
  const everyMs = setup.everyMs ?? 2 * MINUTE;
  const probe = (topic: string, quantity: ProbeSetup['quantity'], of: string | null, more: Partial<ProbeSetup>) => {
    const faults = (setup.faults?.[topic] ?? []).map(
      ({ fromHour, untilHour, ...fault }) =>
        ({ ...fault, fromMs: atHour(fromHour), untilMs: atHour(untilHour) }) as ProbeFault,
    );
    return { topic, quantity, of, form: object('kPa', 2), everyMs, faults, ...more };
  };
  const gauge = () => ({ offset: random.normal(0, 1), noise: random.uniform(0.1, 0.4), resolution: 0.05 });
  const kegs = CLUB.flatMap(({ id, filledHour }) => [
    probe(`probes/${id}/beer-temperature`, 'beer-temperature', id, {
      form: object('Cel', 4),
      placement: 'thermowell',
      airShare: 0.08,
      lagS: 90,
      offset: random.normal(0, 0.1),
      noise: 0.03,
      resolution: 0.0625,
      fromMs: atHour(filledHour + 0.15),
    }),
    probe(`probes/${id}/headspace-pressure`, 'headspace-pressure', id, {
      ...gauge(),
      fromMs: atHour(filledHour + 0.15),
    }),
  ]);
  const supplies = ['gas', 'second'].flatMap((id) => [
    probe(`probes/gas/${id}/regulator-pressure`, 'regulator-pressure', id, gauge()),
    probe(`probes/gas/${id}/cylinder-mass`, 'cylinder-mass', id, {
      form: object('kg', 3),
      noise: 0.003,
      resolution: 0.001,
    }),
  ]);
  const air = probe('probes/place/fridge/air-temperature', 'air-temperature', 'fridge', {
    form: object('Cel', 4),
    lagS: 60,
    noise: 0.05,
    resolution: 0.0625,
  });
  const barometer = probe('probes/site/ambient-pressure', 'ambient-pressure', null, {
    form: object('mbar', 1),
    noise: 0.01,
  });
  return [...kegs, ...supplies, air, barometer].map((one, index) => ({
    ...one,
    fromMs: (one.fromMs ?? BEGIN_MS) + index * 4000,
  }));
}

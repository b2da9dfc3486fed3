import type { EventEntry } from '../../contract/event.ts';
import { airPressureAtAltitude } from '../../physics/atmosphere.ts';
import { metres } from '../../physics/units.ts';
import type { Act, TimedAct } from '../acts.ts';
import { type Cellar, createCellar } from '../cellar.ts';
import type { KegPlan, SupplyPlan } from '../cellar-truth.ts';
import type { PayloadForm } from '../payload.ts';
import type { Placement, ProbeFault, ProbeSetup } from '../probe.ts';
import { createRandom, type Random } from '../random.ts';
import { equilibriumMolPerM3, volumesOf } from '../solubility.ts';
import { drawKegTraits } from '../traits.ts';

export const KEG_ID = 'one';
export const SUPPLY_ID = 'gas';
export const FRIDGE_ID = 'fridge';
export const HOUR_MS = 3_600_000;
export const DAY_HOURS = 24;
const START_MS = Date.UTC(2026, 0, 12, 17);

/** What a situation asks for; what it leaves out is drawn from the seed or usual. */
export interface Wishes {
  readonly days?: number;
  readonly everyMs?: number;
  readonly fridgeC?: number;
  readonly roomC?: number;
  readonly kpaGauge?: number;
  /** What is entered as the regulator's pressure, if that is wrong. */
  readonly enteredKpaGauge?: number;
  readonly altitudeM?: number;
  readonly barometer?: boolean;
  readonly vessel?: { readonly totalL: number; readonly diameterM: number };
  /** Beer over the vessel's volume. */
  readonly fullness?: number;
  readonly beerC?: number;
  readonly startTrueVolumes?: number;
  readonly beerState?: 'flat' | 'carbonated' | 'priming' | 'unknown';
  readonly purges?: number;
  /** What is entered of the purges; null: nothing. */
  readonly enteredPurges?: number | null;
  readonly onGas?: boolean;
  /** "Gas opened" is entered, whether it was or not. */
  readonly enterGasOpened?: boolean;
  readonly inFridge?: boolean;
  readonly checkValve?: boolean;
  readonly probe?: Placement;
  readonly thermometer?: Partial<ProbeSetup>;
  readonly gauge?: Partial<ProbeSetup>;
  readonly supply?: Partial<SupplyPlan>;
  readonly keg?: Partial<KegPlan>;
  readonly neighbours?: readonly KegPlan[];
}

/** A situation being written down: what truly happens and what the brewer enters. Hours count from the filling. */
export interface Script {
  readonly random: Random;
  readonly startMs: number;
  readonly kpaGauge: number;
  /** Something that truly happens. */
  happen(hour: number, act: Act, on?: string): void;
  /** Something entered. */
  enter(hour: number, body: EventBody): void;
  /** Both: closes the gas for some hours and enters it; a shaken check is shaken for two minutes. */
  check(hour: number, hours: number, shaken?: boolean): void;
}

type WithoutTime<E> = E extends unknown ? Omit<E, 'at'> : never;
export type EventBody = WithoutTime<EventEntry>;

export interface SituationRun {
  readonly kegId: string;
  readonly startMs: number;
  readonly endMs: number;
  readonly cellar: Cellar;
  /** What the brewer entered, by time; the first is `keg-filled`. */
  readonly events: readonly EventEntry[];
}

type Write = (script: Script) => void;

/** Builds a run: draws what is not wished from the seed, fills the keg, then lets the situation write its own part. */
export function stage(seed: number, wishes: Wishes, write: Write = () => undefined): SituationRun {
  const random = createRandom(seed, 'situation');
  const start = drawStart(random, seed, wishes);
  const acts: TimedAct[] = [];
  const events: EventEntry[] = [];
  const script = createScript(random, start.kpaGauge, acts, events);
  enterFilling(script, start, wishes);
  write(script);
  const endMs = START_MS + (wishes.days ?? 14) * DAY_HOURS * HOUR_MS;
  const plan: KegPlan = {
    id: KEG_ID,
    supplyId: SUPPLY_ID,
    totalL: start.totalL,
    beerL: start.beerL,
    diameterM: start.diameterM,
    beerC: start.beerC,
    dissolved: { trueVolumes: start.trueVolumes },
    gasOpen: false,
    inFridge: wishes.inFridge ?? true,
    checkValve: wishes.checkValve ?? false,
    ...wishes.keg,
  };
  const cellar = createCellar({
    seed,
    startMs: START_MS,
    site: {
      altitudeM: start.altitudeM,
      roomMeanC: wishes.roomC ?? random.uniform(10, 20),
      roomDailyK: random.uniform(1, 4),
    },
    fridge: { id: FRIDGE_ID, setC: start.fridgeC },
    supplies: [{ id: SUPPLY_ID, setKpaGauge: start.kpaGauge, cylinderFullKg: 6, ...wishes.supply }],
    kegs: [plan, ...(wishes.neighbours ?? [])],
    probes: probesOf(random, wishes),
    timeline: acts,
  });
  events.sort((a, b) => Date.parse(a.at) - Date.parse(b.at));
  return { kegId: KEG_ID, startMs: START_MS, endMs, cellar, events };
}

interface Start {
  readonly kpaGauge: number;
  readonly fridgeC: number;
  readonly altitudeM: number;
  readonly totalL: number;
  readonly diameterM: number;
  readonly beerL: number;
  readonly beerC: number;
  readonly fermentC: number;
  readonly trueVolumes: number;
  readonly purges: number;
}

function drawStart(random: Random, seed: number, wishes: Wishes): Start {
  const fermentC = random.uniform(16, 22);
  const altitudeM = wishes.altitudeM ?? random.uniform(0, 500);
  // Beer that fermented open to the air holds about what one atmosphere of CO2 gives, less what racking lost.
  const { beerFactor } = drawKegTraits(createRandom(seed, `keg ${KEG_ID}`));
  const ambientPa = airPressureAtAltitude(metres(altitudeM)) * 1000;
  const flat = volumesOf(equilibriumMolPerM3(fermentC, ambientPa, beerFactor)) * random.uniform(0.8, 1.02);
  const totalL = wishes.vessel?.totalL ?? random.uniform(18.9, 20.2);
  return {
    kpaGauge: wishes.kpaGauge ?? random.uniform(62, 90),
    fridgeC: wishes.fridgeC ?? random.uniform(2, 5),
    altitudeM,
    totalL,
    diameterM: wishes.vessel?.diameterM ?? random.uniform(0.205, 0.225),
    beerL: totalL * (wishes.fullness ?? random.uniform(0.93, 0.98)),
    beerC: wishes.beerC ?? fermentC + random.uniform(-3, 0),
    fermentC,
    trueVolumes: wishes.startTrueVolumes ?? flat,
    purges: wishes.purges ?? random.integer(3, 6),
  };
}

const instant = (hour: number): string => new Date(START_MS + Math.round(hour * HOUR_MS)).toISOString();

function createScript(random: Random, kpaGauge: number, acts: TimedAct[], events: EventEntry[]): Script {
  const happen: Script['happen'] = (hour, act, on = KEG_ID) => {
    acts.push({ atMs: START_MS + Math.round(hour * HOUR_MS), on, act });
  };
  const enter: Script['enter'] = (hour, body) => {
    events.push({ ...body, at: instant(hour) });
  };
  return {
    random,
    startMs: START_MS,
    kpaGauge,
    happen,
    enter,
    check: (hour, hours, shaken = false) => {
      happen(hour, { kind: 'close-gas' });
      enter(hour, { kind: 'gas-closed' });
      enter(hour, { kind: 'gas-check-started', shaken });
      if (shaken) {
        happen(hour + 0.02, { kind: 'shake', seconds: 120, vigour: random.uniform(0.5, 1) });
        enter(hour + 0.02, { kind: 'keg-shaken', seconds: 120 });
      }
      happen(hour + hours, { kind: 'open-gas' });
      enter(hour + hours, { kind: 'gas-check-ended' });
      enter(hour + hours, { kind: 'gas-opened' });
    },
  };
}

const PURGE_KPA_GAUGE = 200;

/** Fills, purges and puts on gas in the first minutes; enters what a careful brewer would, rounded as people do. */
function enterFilling(script: Script, start: Start, wishes: Wishes): void {
  script.enter(0, {
    kind: 'keg-filled',
    totalLitres: Math.round(start.totalL * 10) / 10,
    beerLitres: Math.round((start.beerL + script.random.normal(0, 0.15)) * 10) / 10,
    diameterMetres: Math.round(start.diameterM * 100) / 100,
    beerCelsius: Math.round(start.beerC * 2) / 2,
    fermentedAtCelsius: Math.round(start.fermentC * 2) / 2,
    beerState: wishes.beerState ?? 'flat',
    altitudeMetres: Math.round(start.altitudeM / 10) * 10,
    probe: wishes.probe ?? 'thermowell',
  });
  script.enter(0.01, { kind: 'fridge-set', place: FRIDGE_ID, celsius: Math.round(start.fridgeC * 2) / 2 });
  script.enter(0.01, {
    kind: 'regulator-set',
    supply: SUPPLY_ID,
    kpaGauge: Math.round(wishes.enteredKpaGauge ?? start.kpaGauge),
  });
  if (start.purges > 0) script.happen(0.02, { kind: 'purge', times: start.purges, kpaGauge: PURGE_KPA_GAUGE });
  const enteredPurges = wishes.enteredPurges === undefined ? start.purges : wishes.enteredPurges;
  if (enteredPurges !== null) {
    script.enter(0.02, { kind: 'headspace-purged', times: enteredPurges, kpaGauge: PURGE_KPA_GAUGE });
  }
  if (wishes.onGas ?? true) script.happen(0.05, { kind: 'open-gas' });
  if (wishes.enterGasOpened ?? wishes.onGas ?? true) script.enter(0.05, { kind: 'gas-opened' });
}

const object = (unit: string, decimals: number): PayloadForm => ({ shape: 'object', unit, time: 'rfc3339', decimals });

function probesOf(random: Random, wishes: Wishes): ProbeSetup[] {
  const everyMs = wishes.everyMs ?? 60_000;
  const placement = wishes.probe ?? 'thermowell';
  const thermometer: ProbeSetup = {
    topic: `probes/${KEG_ID}/beer-temperature`,
    quantity: 'beer-temperature',
    of: KEG_ID,
    form: object('Cel', 4),
    placement,
    airShare: random.uniform(0.05, 0.25),
    lagS: placement === 'thermowell' ? random.uniform(60, 150) : random.uniform(120, 400),
    offset: random.normal(0, 0.2),
    noise: 0.03,
    resolution: 0.0625,
    everyMs,
    ...wishes.thermometer,
  };
  const gauge: ProbeSetup = {
    topic: `probes/${KEG_ID}/headspace-pressure`,
    quantity: 'headspace-pressure',
    of: KEG_ID,
    form: object('kPa', 2),
    offset: random.normal(0, 2),
    gain: random.normal(1, 0.004),
    noise: random.uniform(0.1, 0.4),
    resolution: 0.05,
    everyMs,
    ...wishes.gauge,
  };
  if (wishes.barometer !== true) return [thermometer, gauge];
  const barometer: ProbeSetup = {
    topic: 'probes/site/ambient-pressure',
    quantity: 'ambient-pressure',
    of: null,
    form: object('mbar', 1),
    offset: random.normal(0, 0.1),
    everyMs,
  };
  return [thermometer, gauge, barometer];
}

/** A fault from one hour to another, counted from the filling. */
export function between<F extends WithoutSpan<ProbeFault>>(
  fromHour: number,
  untilHour: number,
  fault: F,
): F & { readonly fromMs: number; readonly untilMs: number } {
  return { ...fault, fromMs: START_MS + fromHour * HOUR_MS, untilMs: START_MS + untilHour * HOUR_MS };
}
type WithoutSpan<F> = F extends unknown ? Omit<F, 'fromMs' | 'untilMs'> : never;

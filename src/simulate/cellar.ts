import {
  type Act,
  actOnFridge,
  actOnKeg,
  actOnSupply,
  isFridgeAct,
  isKegAct,
  isSupplyAct,
  type TimedAct,
} from './acts.ts';
import type { CellarTruth, KegPlan, SupplyPlan } from './cellar-truth.ts';
import { fillKeg, isAgitated, stepAgitation, stepHeat, stepInside } from './keg.ts';
import { createProbe, type ProbeMessage, type ProbeSetup, type ProbeTruth, report } from './probe.ts';
import { createRandom } from './random.ts';
import { molPerM3Of, molPerM3OfChart } from './solubility.ts';
import { createSupply, type SupplyTruth, stepSupply } from './supply.ts';
import { createFridge, createSurroundings, stepFridge, stepSurroundings } from './surroundings.ts';
import { drawFridgeTraits, drawKegTraits, drawSupplyTraits, type FridgeTraits } from './traits.ts';
import { type KegReport, measure, reportKeg } from './truth.ts';

/** Length of a step (ms). Acts take effect at the next border between steps. */
export const STEP_MS = 20_000;
/** Length of a step while a keg is shaken (s). */
const SHAKEN_STEP_S = 1;

export interface CellarSetup {
  readonly seed: number;
  readonly startMs: number;
  readonly site: { readonly altitudeM: number; readonly roomMeanC: number; readonly roomDailyK: number };
  readonly fridge: { readonly id: string; readonly setC: number; readonly traits?: Partial<FridgeTraits> };
  readonly supplies: readonly SupplyPlan[];
  readonly kegs: readonly KegPlan[];
  readonly probes: readonly ProbeSetup[];
  readonly timeline: readonly TimedAct[];
}

export interface Cellar {
  /** Simulates up to a moment and returns what reaches the broker until then, in order of arrival. Never goes back. */
  advanceTo(ms: number): ProbeMessage[];
  /** As `advanceTo`, but throws the messages away unwritten: about twice as fast, for what was published before. */
  skipTo(ms: number): void;
  /** What is truly so at the last step's end; null before the keg is filled. Throws on an unknown keg. */
  truth(kegId: string): KegReport | null;
  /** Something done now, at the moment advanced to, or later. Throws on an unknown id. */
  act(on: string, act: Act, atMs?: number): void;
  readonly nowMs: number;
}

function build(setup: CellarSetup): CellarTruth {
  const { seed, startMs } = setup;
  const around = createSurroundings(createRandom(seed, 'weather'), setup.site);
  const fridgeTraits = { ...drawFridgeTraits(createRandom(seed, 'fridge')), ...setup.fridge.traits };
  const supplies = setup.supplies.map((plan) =>
    createSupply({
      id: plan.id,
      traits: { ...drawSupplyTraits(createRandom(seed, `supply ${plan.id}`)), ...plan.traits },
      setKpaGauge: plan.setKpaGauge,
      cylinderFullKg: plan.cylinderFullKg,
      cylinderKg: plan.cylinderKg ?? plan.cylinderFullKg,
      roomC: around.roomC,
      ambientPa: around.ambientPa,
    }),
  );
  return {
    around,
    fridge: createFridge(setup.fridge.id, fridgeTraits, setup.fridge.setC, startMs),
    supplies: new Map(supplies.map((supply) => [supply.id, supply])),
    plans: new Map(setup.kegs.map((plan) => [plan.id, plan])),
    kegs: new Map(),
  };
}

function supplyOf(cellar: CellarTruth, kegId: string): SupplyTruth {
  const supplyId = cellar.plans.get(kegId)?.supplyId;
  const supply = supplyId === undefined ? undefined : cellar.supplies.get(supplyId);
  if (supply === undefined) throw new Error(`keg ${kegId} is on no known supply: name one of the cellar's supplies`);
  return supply;
}

function fill(cellar: CellarTruth, plan: KegPlan, seed: number): void {
  const traits = { ...drawKegTraits(createRandom(seed, `keg ${plan.id}`)), ...plan.traits };
  const { dissolved } = plan;
  const molPerM3 =
    'trueVolumes' in dissolved
      ? molPerM3Of(dissolved.trueVolumes)
      : molPerM3OfChart(dissolved.chartVolumes, plan.beerC, traits.beerFactor);
  cellar.kegs.set(
    plan.id,
    fillKeg({
      id: plan.id,
      supplyId: plan.supplyId,
      traits,
      totalL: plan.totalL,
      beerL: plan.beerL,
      diameterM: plan.diameterM,
      beerC: plan.beerC,
      molPerM3,
      ambientPa: cellar.around.ambientPa,
      inFridge: plan.inFridge ?? true,
      gasOpen: plan.gasOpen ?? true,
      checkValve: plan.checkValve ?? false,
      freezesAtC: plan.freezesAtC ?? -2.1,
    }),
  );
}

function perform(cellar: CellarTruth, { on, act }: TimedAct, nowMs: number): void {
  if (isFridgeAct(act)) actOnFridge(cellar.fridge, act, nowMs);
  else if (isSupplyAct(act)) {
    const supply = cellar.supplies.get(on);
    if (supply !== undefined) actOnSupply(supply, act);
  } else {
    const keg = cellar.kegs.get(on);
    if (keg !== undefined) actOnKeg(keg, supplyOf(cellar, on), act, nowMs, cellar.around.ambientPa);
  }
}

/** Refuses an act on something that the cellar does not have. */
function refuseStranger(cellar: CellarTruth, { on, act }: TimedAct): void {
  const known = isFridgeAct(act)
    ? on === cellar.fridge.id
    : isKegAct(act)
      ? cellar.plans.has(on)
      : cellar.supplies.has(on);
  if (!known) throw new Error(`${act.kind} on ${on}: the cellar has nothing of that id that could take it`);
}

/** Everything moves on by one step that begins at `nowMs`. */
function stepCellar(cellar: CellarTruth, nowMs: number): void {
  const { around, fridge } = cellar;
  const dtS = STEP_MS / 1000;
  stepSurroundings(around, nowMs, dtS);
  const kegs = [...cellar.kegs.values()];
  let kegsW = 0;
  for (const keg of kegs) {
    if (keg.inFridge) kegsW += stepHeat(keg, fridge.airC + keg.traits.airOffsetK, dtS);
    else stepHeat(keg, around.roomC, dtS);
  }
  stepFridge(fridge, nowMs, dtS, around.roomC, kegsW);
  const groups = [...cellar.supplies.values()].map((supply) => ({
    supply,
    open: kegs.filter((keg) => keg.gasOpen && keg.supplyId === supply.id),
  }));
  const partS = kegs.some(isAgitated) ? SHAKEN_STEP_S : dtS;
  for (let doneS = 0; doneS < dtS; doneS += partS) {
    const partMs = nowMs + doneS * 1000;
    for (const { supply, open } of groups) stepSupply(supply, open, partS, around.roomC, around.ambientPa);
    for (const keg of kegs) {
      stepInside(keg, partMs, partS, around.ambientPa);
      stepAgitation(keg, partMs, partS);
    }
  }
}

const byArrival = (a: ProbeMessage, b: ProbeMessage) => a.deliverAtMs - b.deliverAtMs || a.atMs - b.atMs;

/** A simulated cellar: the same setup gives the same messages, however finely it is advanced. */
export function createCellar(setup: CellarSetup): Cellar {
  const cellar = build(setup);
  for (const timed of setup.timeline) refuseStranger(cellar, timed);
  for (const plan of setup.kegs) supplyOf(cellar, plan.id);
  const probes: ProbeTruth[] = setup.probes.map((probe) => createProbe(probe, setup.seed, setup.startMs));
  const filling = [...setup.kegs].sort((a, b) => (a.filledAtMs ?? 0) - (b.filledAtMs ?? 0));
  const timeline = [...setup.timeline].sort((a, b) => a.atMs - b.atMs);
  let waiting: ProbeMessage[] = [];
  let stepAtMs = setup.startMs;
  let nowMs = setup.startMs;

  function begin(): void {
    while (filling[0] !== undefined && (filling[0].filledAtMs ?? 0) <= stepAtMs) {
      const plan = filling.shift();
      if (plan !== undefined) fill(cellar, plan, setup.seed);
    }
    while (timeline[0] !== undefined && timeline[0].atMs <= stepAtMs) {
      const timed = timeline.shift();
      if (timed !== undefined) perform(cellar, timed, stepAtMs);
    }
  }

  function sampleUntil(endMs: number, into: ProbeMessage[] | null): void {
    for (const probe of probes) {
      while (probe.nextAtMs < endMs) report(probe, measure(cellar, probe.setup), probe.nextAtMs, into);
    }
  }

  function run(ms: number, into: ProbeMessage[] | null): void {
    if (ms < nowMs) throw new Error(`the cellar is at ${nowMs} and cannot go back to ${ms}: create a new one`);
    while (stepAtMs + STEP_MS <= ms) {
      sampleUntil(stepAtMs + STEP_MS, into);
      begin();
      stepCellar(cellar, stepAtMs);
      stepAtMs += STEP_MS;
    }
    sampleUntil(ms + 1, into);
    nowMs = ms;
  }

  function advanceTo(ms: number): ProbeMessage[] {
    run(ms, waiting);
    waiting.sort(byArrival);
    const later = waiting.findIndex((message) => message.deliverAtMs > ms);
    const arrived = later < 0 ? waiting : waiting.slice(0, later);
    waiting = later < 0 ? [] : waiting.slice(later);
    return arrived;
  }

  function act(on: string, done: Act, atMs = nowMs): void {
    const timed = { atMs: Math.max(atMs, nowMs), on, act: done };
    refuseStranger(cellar, timed);
    const index = timeline.findIndex((other) => other.atMs > timed.atMs);
    timeline.splice(index < 0 ? timeline.length : index, 0, timed);
  }

  return {
    advanceTo,
    skipTo: (ms) => run(ms, null),
    act,
    truth: (kegId) => {
      supplyOf(cellar, kegId);
      return reportKeg(cellar, kegId, stepAtMs);
    },
    get nowMs() {
      return nowMs;
    },
  };
}

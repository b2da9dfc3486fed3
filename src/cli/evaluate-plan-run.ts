/** One simulated keg, planned for and filled by the plan: the only place where the planner meets the simulation. */
import process from 'node:process';
import { type PlanSources, planOf } from '../app/plan-basis.ts';
import type { PlanRun } from '../app/plan-score.ts';
import { Replay } from '../app/replay.ts';
import { replayEvents } from '../app/replay-feed.ts';
import type { EventEntry } from '../contract/event.ts';
import type { Act } from '../simulate/acts.ts';
import { createRandom, type Random } from '../simulate/random.ts';
import {
  type EventBody,
  FRIDGE_ID,
  HOUR_MS,
  KEG_ID,
  type Script,
  SUPPLY_ID,
  stage,
  type Wishes,
} from '../simulate/situations/script.ts';
import { takeMessage } from './evaluate-values.ts';

type Plan = NonNullable<ReturnType<typeof planOf>>;

/** What somebody asks of a keg: when, for which hour, after which doings. */
interface Question {
  readonly wishes: Wishes;
  readonly write: (script: Script) => void;
  readonly askedH: number;
  readonly fillH: number;
  readonly bottles: PlanSources['bottles'];
}

/** The verdict's usual window and fill temperature. */
const WINDOW = { low: 2.0, high: 2.5, coldC: 2.2 };
const SERVING_MAX_KPA = 85;
const STEP_MS = 5 * 60_000;
/** Plans are looked at so often (h); while a check goes on the keg is looked at as well. */
const LOOK_H = 6;
const CHECK_LOOK_H = 2;
const QUARTER_H = 0.25;

/** Kegs of all ages, flat or half carbonated, in fridges of all settings, some checked before; an hour from half a day to ten days off. */
function drawQuestion(random: Random): Question {
  const askedH = Math.round(random.uniform(4, 120) / QUARTER_H) * QUARTER_H;
  const fillH = askedH + Math.round(random.uniform(12, 240) / QUARTER_H) * QUARTER_H;
  const kind = random.uniform(0, 1);
  const checkAt = random.uniform(0, 1) < 0.3 && askedH > 30 ? random.uniform(6, askedH - 16) : null;
  const checkH = random.uniform(4, 12);
  return {
    wishes: {
      everyMs: STEP_MS,
      fridgeC: random.uniform(1, 7),
      kpaGauge: random.uniform(40, 110),
      days: fillH / 24 + 1,
      ...startOf(kind, random),
    },
    write: (script) => {
      if (checkAt !== null) script.check(checkAt, checkH);
    },
    askedH,
    fillH,
    bottles: [{ count: random.integer(6, 20), litres: random.uniform(0, 1) < 0.5 ? 0.33 : 0.5 }],
  };
}

/** Most are flat; some come half carbonated, with nothing said of it; a few come carbonated, some of these too much. */
function startOf(kind: number, random: Random): Wishes {
  if (kind < 0.75) return {};
  if (kind < 0.93) return { startTrueVolumes: random.uniform(1, 2.2), beerState: 'unknown', beerC: 6 };
  return { startTrueVolumes: random.uniform(1.8, 3), beerState: 'carbonated', beerC: 4 };
}

export function runPlan(seed: number): PlanRun {
  const question = drawQuestion(createRandom(seed, 'plan'));
  const follower = new Follower(seed, question);
  const first = follower.plan(question.askedH);
  if (first === null) throw new Error(`seed ${seed}: nothing could be planned`);
  const outcome = first.possible ? follower.follow(first) : null;
  return {
    seed,
    hours: question.fillH - question.askedH,
    possible: first.possible,
    probability: first.probability,
    reason: first.reason,
    outcome,
    couldBeMet: couldBeMet(seed, question, first),
    planCpuMsMax: follower.planCpuMsMax,
  };
}

/** Somebody who does what the plan says, and looks at it again every few hours and after each check. */
class Follower {
  readonly #question: Question;
  readonly #run: ReturnType<typeof stage>;
  readonly #replay: Replay;
  #entries = 0;
  #checks = 0;
  #plans = 0;
  #checking = false;
  #setKpa = Number.NaN;
  #enteredKpa = Number.NaN;
  planCpuMsMax = 0;

  constructor(seed: number, question: Question) {
    this.#question = question;
    this.#run = stage(seed, question.wishes, question.write);
    const events = replayEvents(KEG_ID, this.#run.events);
    this.#replay = new Replay({ kegId: KEG_ID, events, everyMs: 24 * HOUR_MS, seed });
  }

  plan(hour: number): Plan | null {
    const nowMs = this.#to(hour);
    const said = this.#replay.stand(nowMs);
    const estimate = this.#replay.track.fork();
    if (said === null || estimate === null) return null;
    const before = process.cpuUsage();
    const plan = planOf({
      nowMs,
      fillAtMs: this.#at(this.#question.fillH),
      bottles: this.#question.bottles,
      events: this.#replay.entered,
      output: said.output,
      estimate,
      coolingConstant: this.#replay.track.coolingConstant(),
      limits: this.#replay.limits,
      abvPercent: 5,
      co2Ratio: 1,
      beerLeftL: null,
      gasLeftKg: null,
      line: null,
      workingKpaGaugeMax: 896,
      othersOnGas: [],
      units: { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes' },
      awakeAt: (atMs) => new Date(atMs).getUTCHours() >= 7 && new Date(atMs).getUTCHours() < 23,
    });
    const used = process.cpuUsage(before);
    this.planCpuMsMax = Math.max(this.planCpuMsMax, (used.user + used.system) / 1000);
    this.#plans += 1;
    return plan;
  }

  /** Does what is said until the hour, and tells what came of it. */
  follow(first: Plan): PlanRun['outcome'] {
    const { askedH, fillH } = this.#question;
    let plan: Plan | null = first;
    for (let hour = askedH; hour < fillH; ) {
      const checking = plan?.steps.some(({ kind }) => kind === 'check-end') === true && this.#checking;
      let until = Math.min(fillH, hour + (checking ? CHECK_LOOK_H : LOOK_H));
      for (const step of plan?.steps ?? []) {
        const stepH = (step.atMs - this.#run.startMs) / HOUR_MS;
        if (step.by !== 'you' || stepH >= until) continue;
        this.#do(step, Math.max(hour, stepH));
        // What a check found is looked at as soon as it is computed.
        if (step.kind === 'check-end') until = Math.min(until, Math.max(hour, stepH) + QUARTER_H);
      }
      hour = Math.max(until, hour + QUARTER_H);
      if (hour < fillH) plan = this.plan(hour) ?? plan;
    }
    return this.#outcome();
  }

  #outcome(): PlanRun['outcome'] {
    const atMs = this.#to(this.#question.fillH);
    const said = this.#replay.stand(atMs);
    const truth = this.#run.cellar.truth(KEG_ID);
    if (said === null || truth === null) return null;
    const { kind, checks } = said.verdict;
    return {
      ready: kind === 'ready',
      amiss: checks.flatMap(({ name, state }) => (state === 'pass' || state === 'not-watched' ? [] : [name])),
      chartVolumes: truth.chartVolumes,
      inside: truth.chartVolumes >= WINDOW.low && truth.chartVolumes <= WINDOW.high,
      beerC: truth.beerC,
      checks: this.#checks,
      plans: this.#plans,
    };
  }

  #at(hour: number): number {
    return this.#run.startMs + Math.round(hour * 3600) * 1000;
  }

  #to(hour: number): number {
    const atMs = this.#at(hour);
    const messages = this.#run.cellar.advanceTo(atMs);
    for (const message of messages.toSorted((a, b) => a.deliverAtMs - b.deliverAtMs))
      takeMessage(this.#replay, message);
    return atMs;
  }

  #do(step: Plan['steps'][number], hour: number): void {
    const value = step.value ?? 0;
    switch (step.kind) {
      case 'regulator':
        this.#act(hour, SUPPLY_ID, { kind: 'set-regulator', kpaGauge: this.#turn(value) });
        this.#enter(hour, { kind: 'regulator-set', supply: SUPPLY_ID, kpaGauge: value });
        return;
      case 'fridge':
        this.#act(hour, FRIDGE_ID, { kind: 'set-fridge', celsius: value });
        this.#enter(hour, { kind: 'fridge-set', place: FRIDGE_ID, celsius: value });
        return;
      case 'check-start':
        this.#checks += 1;
        this.#checking = true;
        this.#act(hour, KEG_ID, { kind: 'close-gas' });
        this.#enter(hour, { kind: 'gas-check-started' });
        return;
      case 'check-end':
        this.#checking = false;
        this.#act(hour, KEG_ID, { kind: 'open-gas' });
        this.#enter(hour, { kind: 'gas-check-ended' });
        return;
      case 'gas-open':
        this.#act(hour, KEG_ID, { kind: 'open-gas' });
        this.#enter(hour, { kind: 'gas-opened' });
        return;
      default:
        // Nothing that a simulated keg would feel.
        return;
    }
  }

  /** Where the regulator truly is turned to: by its own gauge, or by what the keg shows if it is set so already (kPa gauge). */
  #turn(value: number): number {
    const shown = this.#replay.stand(this.#replay.track.doneToMs ?? 0)?.output.headspacePressure?.value ?? value;
    this.#setKpa = Math.abs(value - this.#enteredKpa) <= 1 ? this.#setKpa + value - shown : value;
    this.#enteredKpa = value;
    return Math.max(0, this.#setKpa);
  }

  #act(hour: number, on: string, act: Act): void {
    this.#to(hour);
    this.#run.cellar.act(on, act);
  }

  #enter(hour: number, body: EventBody): void {
    const entry: EventEntry = { ...body, at: new Date(this.#at(hour)).toISOString() };
    this.#entries += 1;
    for (const event of replayEvents(KEG_ID, [entry])) {
      this.#replay.enter({ ...event, eventId: `done-${this.#entries}` });
    }
  }
}

const QUICK_KPA = 207;
const HALVINGS = 6;

/** Whether some time under a higher pressure, from nothing to all of it, truly brings the keg to where it is wanted. */
function couldBeMet(seed: number, question: Question, first: Plan): boolean {
  const { askedH, fillH } = question;
  const fridge = first.steps.find(({ kind }) => kind === 'fridge')?.value ?? null;
  const serving = first.setPoints.servingKpaGauge;
  const after = (quickH: number) => {
    const run = stage(seed, question.wishes, question.write);
    const ms = (hour: number) => run.startMs + Math.round(hour * 3600) * 1000;
    run.cellar.skipTo(ms(askedH));
    run.cellar.act(KEG_ID, { kind: 'open-gas' });
    if (fridge !== null) run.cellar.act(FRIDGE_ID, { kind: 'set-fridge', celsius: fridge });
    run.cellar.act(SUPPLY_ID, { kind: 'set-regulator', kpaGauge: quickH > 0 ? QUICK_KPA : serving });
    run.cellar.skipTo(ms(askedH + quickH));
    run.cellar.act(SUPPLY_ID, { kind: 'set-regulator', kpaGauge: serving });
    run.cellar.skipTo(ms(fillH));
    return run.cellar.truth(KEG_ID);
  };
  const isMet = (truth: ReturnType<typeof after>) =>
    truth !== null &&
    truth.chartVolumes >= WINDOW.low &&
    truth.chartVolumes <= WINDOW.high &&
    truth.beerC <= WINDOW.coldC &&
    truth.headspaceKpaGauge <= SERVING_MAX_KPA;
  let least = 0;
  let most = fillH - askedH;
  const plain = after(0);
  if (isMet(plain)) return true;
  if (plain === null || plain.chartVolumes > WINDOW.low) return false;
  // The shortest time that is enough leaves most for the pressure to come down.
  for (let turn = 0; turn < HALVINGS; turn += 1) {
    const middle = (least + most) / 2;
    const truth = after(middle);
    if (isMet(truth)) return true;
    if (truth !== null && truth.chartVolumes < WINDOW.low) least = middle;
    else most = middle;
  }
  return false;
}

import type { TimedAct } from './acts.ts';
import { type Cellar, createCellar } from './cellar.ts';
import type { KegPlan } from './cellar-truth.ts';
import {
  ALTITUDE_M,
  DEMO_KEGS,
  type DemoCatalogue,
  type DemoKeg,
  demoCatalogue,
  FRIDGE_C,
  HOUR_MS,
  KEG_DIAMETER_M,
  KEG_L,
  kegActs,
  SECOND_KPA_GAUGE,
  SHARED_KPA_GAUGE,
} from './demo-club.ts';
import type { PayloadForm } from './payload.ts';
import type { ProbeSetup } from './probe.ts';
import { createRandom } from './random.ts';
import type { KegTraits } from './traits.ts';

/**
 * The demo: the garage of a village brewing club with a three-keg fridge. `left` has been on gas for twelve days and is
 * where it should be; `middle` was filled 30 hours ago; the regulator of `right` crept up during the last day, so that
 * the beer heads past its window. Afterwards nobody draws or changes anything: the beers go to their equilibrium and stay.
 */
export interface Demo {
  readonly seedCatalogue: DemoCatalogue;
  readonly cellar: Cellar;
  /** When its readings begin. `cellar.advanceTo(anchorMs)` returns the history, later moments the live messages. */
  readonly historyStartMs: number;
}

export interface DemoSetup {
  readonly seed: number;
  /**
   * The moment at which the demo was started for the first time. The same anchor and seed give the same messages again,
   * so that after a restart everything published anew is a duplicate.
   */
  readonly anchorMs: number;
  /** How often each probe reports from the anchor on; every 10 s, if left out. Keep it the same for one anchor. */
  readonly liveEveryMs?: number;
}

const HISTORY_MS = HOUR_MS;
const HISTORY_EVERY_MS = 60_000;
const LIVE_EVERY_MS = 10_000;
/** Days after the anchor on which somebody still looks into the fridge. */
const DAYS_AHEAD = 400;

/** Traits that a stage of the demo depends on; the rest is drawn from the seed. */
const TYPICAL: Partial<KegTraits> = {
  sherwood: 0.24,
  filmMPerS: 9e-6,
  overturnMPerS: 1.2e-5,
  depthMixRatio: 4,
  airOffsetK: 0,
};
const TRAITS: Readonly<Record<string, Partial<KegTraits>>> = {
  left: TYPICAL,
  // A keg that stands with little room around it cools slowly: the demo begins while it still does.
  middle: { ...TYPICAL, airSideWPerM2K: 4.5 },
  right: TYPICAL,
};

/** Builds the demo around its anchor. It reads no clock: pass the moment of the first start. */
export function demoCellar({ seed, anchorMs, liveEveryMs = LIVE_EVERY_MS }: DemoSetup): Demo {
  const longest = Math.max(...DEMO_KEGS.map((keg) => keg.hoursOnGas));
  const historyStartMs = anchorMs - longest * HOUR_MS - HISTORY_MS;
  return {
    seedCatalogue: demoCatalogue(anchorMs, historyStartMs),
    historyStartMs,
    cellar: createCellar({
      seed,
      startMs: historyStartMs,
      site: { altitudeM: ALTITUDE_M, roomMeanC: 13, roomDailyK: 2.5 },
      fridge: { id: 'fridge', setC: FRIDGE_C, traits: { hysteresisK: 1.6 } },
      supplies: [
        { id: 'gas', setKpaGauge: SHARED_KPA_GAUGE - 1, cylinderFullKg: 6, cylinderKg: 4.7, traits: CALM_REGULATOR },
        { id: 'second', setKpaGauge: SECOND_KPA_GAUGE - 1, cylinderFullKg: 2, cylinderKg: 1.6, traits: CALM_REGULATOR },
      ],
      kegs: DEMO_KEGS.map((keg) => kegPlan(keg, anchorMs)),
      probes: demoProbes(seed, historyStartMs, { everyMs: HISTORY_EVERY_MS, liveFromMs: anchorMs, liveEveryMs }),
      timeline: demoTimeline(seed, anchorMs),
    }),
  };
}

/** Both lock up about one kPa above their setting and hold that. */
const CALM_REGULATOR = { lockUpKpa: 0.7, inletEffectKpaPerMpa: 0.3, stickKpa: 0.3, checkCrackKpa: 0.8 };
/** What the second regulator creeps up during the day before the anchor (kPa). */
const CREEP_KPA = 28;

function kegPlan(keg: DemoKeg, anchorMs: number): KegPlan {
  return {
    id: keg.kegId,
    supplyId: keg.supplyId,
    filledAtMs: anchorMs - keg.hoursOnGas * HOUR_MS,
    totalL: KEG_L,
    beerL: keg.beerLitres,
    diameterM: KEG_DIAMETER_M,
    beerC: keg.beerCelsius,
    dissolved: { chartVolumes: keg.startVolumes },
    gasOpen: false,
    checkValve: keg.supplyId === 'gas',
    traits: TRAITS[keg.kegId] ?? TYPICAL,
  };
}

function demoTimeline(seed: number, anchorMs: number): TimedAct[] {
  const random = createRandom(seed, 'demo');
  const acts = DEMO_KEGS.flatMap((keg) => kegActs(keg, anchorMs));
  acts.push({
    atMs: anchorMs - 24 * HOUR_MS,
    on: 'second',
    act: { kind: 'drift-regulator', kpaPerDay: 1.1 * CREEP_KPA, endKpa: CREEP_KPA },
  });
  for (let day = -11; day < DAYS_AHEAD; day += 1) {
    // Well before the anchor's own hour, so that everything is calm when the demo is first looked at.
    const atMs = anchorMs + (day * 24 - random.uniform(5, 9)) * HOUR_MS;
    acts.push({ atMs, on: 'fridge', act: { kind: 'open-door', seconds: random.integer(15, 60) } });
  }
  return acts;
}

const object = (unit: string, decimals: number): PayloadForm => ({ shape: 'object', unit, time: 'rfc3339', decimals });

type Pace = Required<Pick<ProbeSetup, 'everyMs' | 'liveFromMs' | 'liveEveryMs'>>;

/** Every probe of the demo. Each message carries its time; units and shapes differ as they do in a real garage. */
function demoProbes(seed: number, historyStartMs: number, pace: Pace): ProbeSetup[] {
  const random = createRandom(seed, 'demo probes');
  const thermometer = (kegId: string, form: PayloadForm, place: 'thermowell' | 'wall'): ProbeSetup => ({
    topic: `probes/${kegId}/beer-temperature`,
    quantity: 'beer-temperature',
    of: kegId,
    form,
    placement: place,
    airShare: 0.08,
    lagS: place === 'thermowell' ? 90 : 240,
    offset: random.normal(0, 0.08),
    noise: 0.02,
    resolution: 0.0625,
    ...pace,
  });
  const gauge = (topic: string, quantity: ProbeSetup['quantity'], of: string, form: PayloadForm): ProbeSetup => ({
    topic,
    quantity,
    of,
    form,
    offset: random.normal(0, 0.5),
    noise: 0.12,
    resolution: 0.05,
    ...pace,
  });
  const scale = (supplyId: string): ProbeSetup => ({
    topic: `probes/gas/${supplyId}/cylinder-mass`,
    quantity: 'cylinder-mass',
    of: supplyId,
    form: { shape: 'senml', unit: 'kg', time: 'unix-s', decimals: 3 },
    noise: 0.002,
    resolution: 0.001,
    ...pace,
  });
  const probes: ProbeSetup[] = [
    thermometer('left', object('Cel', 4), 'thermowell'),
    gauge('probes/left/headspace-pressure', 'headspace-pressure', 'left', object('kPa', 2)),
    thermometer('middle', object('[degF]', 3), 'wall'),
    gauge('probes/middle/headspace-pressure', 'headspace-pressure', 'middle', object('[psi]', 3)),
    thermometer('right', object('Cel', 4), 'thermowell'),
    gauge('probes/right/headspace-pressure', 'headspace-pressure', 'right', object('bar', 4)),
    {
      topic: 'probes/place/fridge/air-temperature',
      quantity: 'air-temperature',
      of: 'fridge',
      form: object('Cel', 4),
      lagS: 60,
      noise: 0.05,
      resolution: 0.0625,
      ...pace,
    },
    gauge('probes/gas/gas/regulator-pressure', 'regulator-pressure', 'gas', object('kPa', 2)),
    gauge('probes/gas/second/regulator-pressure', 'regulator-pressure', 'second', object('bar', 4)),
    scale('gas'),
    scale('second'),
    {
      topic: 'probes/site/ambient-pressure',
      quantity: 'ambient-pressure',
      of: null,
      form: object('mbar', 1),
      offset: random.normal(0, 0.05),
      noise: 0.01,
      ...pace,
    },
  ];
  // Not all at the same second, as devices do not agree on when a minute begins.
  return probes.map((probe, index) => ({ ...probe, fromMs: historyStartMs + index * 4000 }));
}

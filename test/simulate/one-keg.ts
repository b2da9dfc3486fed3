import type { TimedAct } from '../../src/simulate/acts.ts';
import { type CellarSetup, createCellar } from '../../src/simulate/cellar.ts';
import type { KegPlan, SupplyPlan } from '../../src/simulate/cellar-truth.ts';
import type { ProbeSetup } from '../../src/simulate/probe.ts';
import type { KegReport } from '../../src/simulate/truth.ts';

export const START_MS = Date.UTC(2026, 2, 1);
export const HOUR_MS = 3_600_000;

interface Changes {
  readonly seed?: number;
  readonly keg?: Partial<KegPlan>;
  readonly supply?: Partial<SupplyPlan>;
  readonly acts?: readonly Omit<TimedAct, 'on'>[];
  readonly more?: readonly TimedAct[];
  readonly probes?: readonly ProbeSetup[];
}

/** The setup of a cellar with one full 19 L keg at 3 °C on gas, purged in its first minute. */
export function oneKegSetup({ seed = 1, keg, supply, acts = [], more = [], probes = [] }: Changes = {}): CellarSetup {
  return {
    seed,
    startMs: START_MS,
    site: { altitudeM: 200, roomMeanC: 14, roomDailyK: 3 },
    fridge: { id: 'fridge', setC: 3 },
    supplies: [{ id: 'gas', setKpaGauge: 75, cylinderFullKg: 2, ...supply }],
    kegs: [
      {
        id: 'one',
        supplyId: 'gas',
        totalL: 19.5,
        beerL: 18.5,
        diameterM: 0.215,
        beerC: 3,
        dissolved: { trueVolumes: 0.85 },
        ...keg,
      },
    ],
    probes,
    timeline: [
      { atMs: START_MS, on: 'one', act: { kind: 'purge', times: 5, kpaGauge: 200 } },
      ...acts.map((timed) => ({ ...timed, on: 'one' })),
      ...more,
    ],
  };
}

/** The truth about the keg at each of some hours. */
export function truthsAt(hours: readonly number[], changes: Changes = {}): KegReport[] {
  const cellar = createCellar(oneKegSetup(changes));
  return hours.map((hour) => {
    cellar.skipTo(START_MS + hour * HOUR_MS);
    const truth = cellar.truth('one');
    if (truth === null) throw new Error(`the keg is not filled after ${hour} h`);
    return truth;
  });
}

export const hoursFrom = (first: number, last: number, step: number): number[] =>
  Array.from({ length: Math.floor((last - first) / step) + 1 }, (_, index) => first + index * step);

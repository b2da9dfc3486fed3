import type * as contract from '../contract/index.ts';
import { newKeg } from '../domain/catalogue.ts';
import {
  bottledVolumes,
  bottleKpaGauge,
  conditioning,
  conditionsOfFill,
  DRINK_WITHIN_DAYS,
  storingAdvice,
} from '../domain/fill/afterwards.ts';
import { type FillRecord, tastingsDue } from '../domain/fill/fill.ts';
import { pressureWords } from '../domain/words.ts';
import type { Clock } from '../ports/clock.ts';
import type { FillBook } from '../ports/fill-book.ts';
import type { Fills } from './fills.ts';
import type { Monitor } from './monitor.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { instant, instantOrNull } from './present.ts';
import type { Register } from './register.ts';

const DAY_MS = 86_400_000;
/** A fridge, a room, and a warm day in a car (°C). */
const PRESSURES_AT_C = [4, 20, 30, 40] as const;
const ROOM_C = 20;
const USUAL_SIZE_L = 0.5;

const CAUTIONS: readonly string[] = [
  'A bottle that gets warm presses harder: keep them cold, away from people’s faces, and never in a closed car.',
  'Glass that is scuffed, chipped or not made for the pressure bursts. The maker’s limit counts; wear eye protection when you handle full bottles.',
  'Sugar in beer that holds enough already, or that has fermentable sugar left, bursts bottles. Weigh it.',
  'Where makers, local codes or qualified people say otherwise, they are right.',
];

export interface AfterFillsOptions {
  readonly register: Register;
  readonly book: FillBook;
  readonly fills: Pick<Fills, 'contextOf'>;
  readonly monitor: Pick<Monitor, 'stateNow'>;
  readonly clock: Clock;
}

/** What comes after a fill: how to keep the bottles, which to taste, and the keg's way back to serving. */
export class AfterFills {
  readonly #options: AfterFillsOptions;

  constructor(options: AfterFillsOptions) {
    this.#options = options;
  }

  of(
    fillId: string,
    wished: {
      readonly wishedVolumes: number;
      readonly sugar: NonNullable<contract.Afterwards['conditioning']>['sugar'];
    },
  ): Outcome<contract.Afterwards> {
    const { book, monitor } = this.#options;
    const record = book.record(fillId);
    if (record === null) return refuse('fill-unknown', `There is no fill ${fillId}.`);
    const state = monitor.stateNow(record.fill.kegId);
    const ambient = state?.ambientKpaAbsolute ?? 101.325;
    const { dissolved, beerC } = conditionsOfFill(record);
    const filledC = beerC ?? this.#targetOf(record).celsius;
    const inBottle = dissolved === null ? null : bottledVolumes(dissolved);
    const sugar = inBottle === null ? null : conditioning(inBottle.volumes, wished.wishedVolumes, wished.sugar);
    const endedAtMs = record.fill.endedAtMs;
    return done({
      fillId,
      drinkBy: instantOrNull(endedAtMs === null ? null : endedAtMs + DRINK_WITHIN_DAYS * DAY_MS),
      storing: storingAdvice(record.bottles[0]?.sizeL ?? USUAL_SIZE_L),
      inBottle,
      pressures: PRESSURES_AT_C.flatMap((celsius) => {
        // The careful side: what it could hold at most.
        const kpaGauge = inBottle === null ? null : bottleKpaGauge(inBottle.high, filledC, celsius, ambient);
        return kpaGauge === null ? [] : { celsius, kpaGauge };
      }),
      conditioning:
        sugar === null
          ? null
          : { ...sugar, roomKpaGauge: bottleKpaGauge(wished.wishedVolumes, filledC, ROOM_C, ambient) },
      keg: this.#kegNow(record, state),
      cautions: [...CAUTIONS],
    });
  }

  /** Bottles that somebody is to taste, those whose day comes first at the top. */
  tastings(): contract.TastingList['tastings'] {
    const { book, fills, clock } = this.#options;
    const nowMs = clock.nowMs();
    return book
      .records()
      .flatMap((record) => tastingsDue(record).map((due) => ({ record, ...due })))
      .toSorted((a, b) => a.dueAtMs - b.dueAtMs || a.bottle.number - b.bottle.number)
      .map(({ record, bottle, dueAtMs }) => ({
        fillId: record.fill.fillId,
        bottleId: bottle.bottleId,
        number: bottle.number,
        kegId: record.fill.kegId,
        batchName: fills.contextOf(record).batch?.name ?? null,
        filledAt: instant(bottle.filledAtMs),
        dueAt: instant(dueAtMs),
        due: dueAtMs <= nowMs,
      }));
  }

  #targetOf({ fill }: FillRecord) {
    const { register } = this.#options;
    return register.factsOf(register.keg(fill.kegId) ?? newKeg(fill.kegId), fill.startedAtMs).target;
  }

  /** What is left in the keg and where to set it, as long as the same beer is in it. */
  #kegNow(record: FillRecord, state: contract.KegState | null): contract.Afterwards['keg'] {
    const { register, fills, clock } = this.#options;
    const { batch } = fills.contextOf(record);
    const keg = register.keg(record.fill.kegId);
    if (keg === null || batch === null || batch.endedAtMs !== null)
      return { remainingL: null, servingKpaGauge: null, advice: 'The beer of this fill is no longer in the keg.' };
    const { beer } = register.factsOf(keg, clock.nowMs());
    const remainingL = beer === null ? null : Math.max(0, beer.filledLitres - beer.drawnLitres);
    const advised = state?.advisedKpaGauge ?? null;
    const most = keg.workingKpaGaugeMax;
    const servingKpaGauge = advised === null || (most !== null && advised > most) ? null : advised;
    const set =
      servingKpaGauge === null
        ? 'Turn the regulator back to your serving pressure, never above what is stamped on the keg.'
        : `Turn the regulator back to ${pressureWords(servingKpaGauge, register.site().units)}: it holds the beer where it is.`;
    return { remainingL, servingKpaGauge, advice: `${set} Shut the purge gas, and flush filler and line.` };
  }
}

import type * as contract from '../contract/index.ts';
import type { Belief } from '../domain/estimate/learning.ts';
import type { Clock } from '../ports/clock.ts';
import type { KegEstimates } from './keg-estimates.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { instant, instantOrNull } from './present.ts';
import type { Register } from './register.ts';

const DAY_S = 86_400;
/** 5 % and 95 % of a normal belief lie this many standard deviations from its middle. */
const NINE_IN_TEN = 1.645;

/** What past batches taught of kegs: to be looked at, and forgotten. */
export class Learning {
  readonly #register: Register;
  readonly #estimates: Pick<KegEstimates, 'learnt'>;
  readonly #clock: Clock;

  constructor(register: Register, estimates: Pick<KegEstimates, 'learnt'>, clock: Clock) {
    this.#register = register;
    this.#estimates = estimates;
    this.#clock = clock;
  }

  of(kegId: string): Outcome<contract.KegLearnt> {
    const keg = this.#register.keg(kegId);
    if (keg === null) return refuse('keg-unknown', `There is no keg ${kegId}.`);
    const known = this.#estimates.learnt(keg);
    const forgottenAt = instantOrNull(keg.learnsFromMs);
    if (known === null) return done({ kegId, learnt: null, forgottenAt });
    const { batch, learning } = known;
    const [days, lowDays, highDays] = rangeOf(learning.lnTau, DAY_S);
    return done({
      kegId,
      learnt: {
        batchId: batch.batchId,
        batchName: batch.name,
        endedAt: instant(batch.endedAtMs ?? 0),
        days,
        lowDays,
        highDays,
        cooling: coolingOf(learning.cooling),
      },
      forgottenAt,
    });
  }

  /** What was learnt so far counts no more: the keg got another lid, or is another keg. */
  forget(kegId: string): Outcome<null> {
    const keg = this.#register.keg(kegId);
    if (keg === null) return refuse('keg-unknown', `There is no keg ${kegId}.`);
    this.#register.change('kegs', (catalogue) => {
      catalogue.saveKeg({ ...keg, learnsFromMs: this.#clock.nowMs() });
    });
    return done(null);
  }
}

function coolingOf(cooling: Belief | undefined): NonNullable<contract.KegLearnt['learnt']>['cooling'] {
  if (cooling === undefined) return null;
  const [hours, lowHours, highHours] = rangeOf(cooling, 1);
  return { hours, lowHours, highHours };
}

/** Middle, 5 % and 95 % of what is believed of a logarithm, in units of its own. */
function rangeOf({ mean, sd }: Belief, unit: number): readonly [number, number, number] {
  const at = (deviations: number) => Math.exp(mean + deviations * sd) / unit;
  return [at(0), at(-NINE_IN_TEN), at(NINE_IN_TEN)];
}

import type * as contract from '../contract/index.ts';
import { DEFAULT_TARGET } from '../domain/keg-facts.ts';
import { ambientPressure } from '../domain/keg-inputs.ts';
import type { EstimateModel, RunningEstimate } from '../domain/keg-track-types.ts';
import { usualKeg } from '../domain/what-if/usual-keg.ts';
import { askWhatIf, type WhatIfAsk } from '../domain/what-if/what-if.ts';
import { type WhatIfLimits, whatIfWords } from '../domain/what-if/words.ts';
import type { KegEstimates } from './keg-estimates.ts';
import { done, type Outcome, refuse } from './outcome.ts';
import { instant } from './present.ts';
import type { Register } from './register.ts';

export interface WhatIfOptions {
  readonly register: Register;
  readonly estimates: KegEstimates;
  readonly model: EstimateModel;
  readonly nowMs: () => number;
}

/** What a question begins with. */
interface Start {
  readonly estimate: RunningEstimate;
  readonly ambientKpaAbsolute: number;
  readonly co2Ratio: number;
  readonly target: { readonly low: number; readonly high: number };
  readonly limits: WhatIfLimits;
}

const NO_LIMITS: WhatIfLimits = { abvPercent: null, workingKpaGaugeMax: null };

/** Answers what would come of a temperature and a pressure. */
export class WhatIf {
  readonly #options: WhatIfOptions;

  constructor(options: WhatIfOptions) {
    this.#options = options;
  }

  /** Refused if the keg is not known or nothing can be told of it, with what to enter. */
  ask(request: contract.WhatIfRequest): Outcome<contract.WhatIfAnswer> {
    const { kegId, beerTemperatureC: beerC, headspaceKpaGauge, hours } = request;
    if (request.target !== undefined && request.target.low > request.target.high) {
      return refuse('body-invalid', 'target.low: must not lie above target.high');
    }
    if (kegId !== undefined && request.fromVolumes !== undefined) {
      return refuse('body-invalid', 'fromVolumes: leave it out, or leave kegId out: a keg begins with what it holds');
    }
    const begun = kegId === undefined ? done(this.#usual(beerC)) : this.#keg(kegId);
    if (!begun.ok) return begun;
    const { estimate, ambientKpaAbsolute, co2Ratio, limits } = begun.value;
    const target = request.target ?? begun.value.target;
    const fromVolumes = request.fromVolumes ?? null;
    const ask: WhatIfAsk = { beerC, headspaceKpaGauge, ambientKpaAbsolute, co2Ratio, hours, target, fromVolumes };
    const finding = askWhatIf(estimate, ask);
    const { course } = finding;
    const { low = 0, volumes = 0, high = 0 } = course[0] ?? {};
    return done({
      kegId: kegId ?? null,
      at: instant(finding.atMs),
      equilibriumVolumes: finding.equilibriumVolumes,
      target: { low: target.low, high: target.high },
      start: { volumes, low, high },
      curve: {
        hours: course.map((point) => point.hours),
        volumes: course.map((point) => point.volumes),
        low: course.map((point) => point.low),
        high: course.map((point) => point.high),
      },
      readyIn: finding.insideIn,
      insideProbability: finding.insideProbability,
      passing: { probability: finding.passingProbability, hours: finding.passingHours },
      says: whatIfWords(ask, finding, limits, this.#options.register.site().units),
    });
  }

  #usual(beerC: number): Start {
    const { register, model, nowMs } = this.#options;
    const { kpaAbsolute } = ambientPressure(null, null, register.site());
    return {
      estimate: usualKeg(model, nowMs(), beerC, kpaAbsolute),
      ambientKpaAbsolute: kpaAbsolute,
      co2Ratio: 1,
      target: DEFAULT_TARGET,
      limits: NO_LIMITS,
    };
  }

  #keg(kegId: string): Outcome<Start> {
    const { register, estimates, nowMs } = this.#options;
    const keg = register.keg(kegId);
    if (keg === null) return refuse('keg-unknown', `No keg ${kegId} is in the catalogue. Add it first.`);
    const batch = register.batchAt(kegId, nowMs());
    if (batch === null) {
      return refuse(
        'estimate-missing',
        `The keg ${kegId} holds no beer by what was entered. Enter when it was filled and with how much, or leave kegId out.`,
      );
    }
    const co2Ratio = register.supply(keg.supplyId)?.co2Ratio ?? null;
    if (co2Ratio === null) {
      return refuse(
        'estimate-missing',
        `The gas of ${kegId} is mixed. Enter its share of CO2 with the gas supply ${keg.supplyId}.`,
      );
    }
    const [output, estimate] = [estimates.output(kegId), estimates.fork(kegId)];
    if (output === null || estimate === null) {
      return refuse('estimate-missing', `What ${kegId} holds is still being worked out. Ask again in a minute.`);
    }
    const limits = { abvPercent: batch.abvPercent, workingKpaGaugeMax: keg.workingKpaGaugeMax };
    const { ambientKpaAbsolute, target } = output;
    return done({ estimate, ambientKpaAbsolute, co2Ratio, target, limits });
  }
}

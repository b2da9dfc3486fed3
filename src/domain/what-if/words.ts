import { beerFreezingPoint } from '../../physics/freezing.ts';
import { ASSUMED_ABV_PERCENT } from '../verdict/freezing-margin.ts';
import { carbonationFigures, carbonationWords, pressureWords, type SpokenUnits, temperatureWords } from '../words.ts';
import type { WhatIfAsk, WhatIfFinding } from './what-if.ts';

export interface WhatIfLimits {
  readonly abvPercent: number | null;
  /** Working pressure of the keg (kPa gauge); null: not known. */
  readonly workingKpaGaugeMax: number | null;
}

/** Below this a risk is not worth a word. */
const WORTH_SAYING = 0.02;

/** The answer in one or two plain sentences, and what would be dangerous about it. */
export function whatIfWords(ask: WhatIfAsk, finding: WhatIfFinding, limits: WhatIfLimits, units: SpokenUnits): string {
  return [outcomeWords(ask, finding, units), passingWords(ask, finding, units), ...cautions(ask, limits, units)]
    .filter((sentence) => sentence !== '')
    .join(' ');
}

function outcomeWords(ask: WhatIfAsk, finding: WhatIfFinding, units: SpokenUnits): string {
  const { insideIn, course, equilibriumVolumes } = finding;
  const { low, high } = ask.target;
  const end = course.at(-1);
  const start = course[0];
  const holds = `After ${spanWords(ask.hours)} the beer holds ${carbonationFigures(end?.low ?? 0, units)} to ${carbonationWords(end?.high ?? 0, units)}`;
  if (insideIn === null) {
    if (equilibriumVolumes < low || equilibriumVolumes > high) {
      return `It ends at ${carbonationWords(equilibriumVolumes, units)}, outside the window of ${carbonationFigures(low, units)} to ${carbonationWords(high, units)}. ${holds}.`;
    }
    return `It is not likely inside the window by then. ${holds}, on its way to ${carbonationWords(equilibriumVolumes, units)}.`;
  }
  const chance = `inside the window with ${percentWords(finding.insideProbability)}`;
  if (insideIn.hours === 0) {
    const now = `${carbonationFigures(start?.low ?? 0, units)} to ${carbonationWords(start?.high ?? 0, units)}`;
    return `Likely inside the window from the start, with ${now}. ${holds}, ${chance}.`;
  }
  const range = `${spanWords(insideIn.lowHours)} to ${spanWords(insideIn.highHours)}`;
  return `Inside the window in about ${spanWords(insideIn.hours)} (${range}). ${holds}, ${chance}.`;
}

function passingWords(ask: WhatIfAsk, finding: WhatIfFinding, units: SpokenUnits): string {
  const { passingProbability, passingHours } = finding;
  if (passingProbability < WORTH_SAYING) return '';
  const past = `past ${carbonationWords(ask.target.high, units)}`;
  if (passingHours === 0) return `It may well be ${past} already.`;
  const when = passingHours === null ? '' : `; it is 5 % after ${spanWords(passingHours)}`;
  return `The risk that it goes ${past} is ${percentWords(passingProbability)}${when}.`;
}

function cautions({ beerC, headspaceKpaGauge }: WhatIfAsk, limits: WhatIfLimits, units: SpokenUnits): string[] {
  const freezesC = beerFreezingPoint(limits.abvPercent ?? ASSUMED_ABV_PERCENT);
  const working = limits.workingKpaGaugeMax;
  return [
    beerC <= freezesC
      ? `But beer like this begins to freeze at ${temperatureWords(freezesC, units)}: ice can burst the keg.`
      : '',
    working !== null && headspaceKpaGauge > working
      ? `But the keg is made for no more than ${pressureWords(working, units)}: do not set it higher.`
      : '',
  ];
}

/** "40 min", "9 h" or "6 days". */
function spanWords(hours: number): string {
  if (hours < 1.5) return `${Math.max(1, Math.round((60 * hours) / 5) * 5)} min`;
  return hours < 48 ? `${Math.round(hours)} h` : `${Math.round(hours / 24)} days`;
}

/** Never quite sure: "less than 1 %", "63 %", "more than 99 %". */
function percentWords(probability: number): string {
  if (probability < 0.01) return 'less than 1 %';
  return probability > 0.99 ? 'more than 99 %' : `${Math.round(100 * probability)} %`;
}

import type { DissolvedEstimate } from '../estimate/types.ts';
import type { KegEvent } from '../event.ts';
import type { PressureStep } from '../gas-check/closed-course.ts';
import type { KegFacts } from '../keg-facts.ts';
import { ageWords, carbonationWords, pressureWords, type SpokenUnits } from '../words.ts';
import { findGasOpened, findGasShut } from './gas-moves.ts';
import type { Notice } from './notice.ts';

/** What notices are drawn from. */
export interface NoticeBasis {
  readonly nowMs: number;
  /** Null while it is not estimated. */
  readonly dissolved: DissolvedEstimate | null;
  readonly facts: Pick<KegFacts, 'gas' | 'regulatorKpaGauge'>;
  /** Of the keg, its place and its supply, in order of time. */
  readonly events: readonly KegEvent[];
  /** Cleaned pressures of the last day, a step of five minutes each, in order of time. */
  readonly steps: readonly PressureStep[];
  readonly units: SpokenUnits;
}

/** Air that makes a difference (kPa, about 0.1 volumes at 4 °C with 7 kPa). */
const AIR_KPA = 10;
/** A zero error that makes one, and is no longer only a guess (kPa). */
const ZERO_KPA = 3;

/** All that the probes say and nobody entered, or that contradicts what was entered. */
export function noticesOf(basis: NoticeBasis): Notice[] {
  return [...gasNotices(basis), ...leakNotices(basis), ...probeNotices(basis)];
}

function gasNotices({ nowMs, dissolved, facts, events, steps, units }: NoticeBasis): Notice[] {
  const setting = facts.regulatorKpaGauge;
  if (facts.gas === 'closed') {
    const opened = findGasOpened(steps, events, setting, nowMs);
    if (opened !== null) {
      return [
        {
          name: 'gas-opened',
          message: `The gas is entered as closed, but ${ageWords(nowMs - opened.atMs)} ago the pressure jumped up by ${pressureWords(opened.roseKpa, units)} to what the supply gives, and holds there. It looks as if the gas was opened.`,
          advice: 'Enter that it was opened, or see whether the valve is shut.',
          entry: { kind: 'gas-opened', atMs: opened.atMs },
        },
      ];
    }
    return dissolved?.disagreement === 'closed-but-holds' ? [closedButHolds(dissolved, units)] : [];
  }
  if (facts.gas === 'unknown') return [];
  const shut = findGasShut(steps, events, setting, nowMs);
  if (shut !== null) {
    const fell = `by ${pressureWords(shut.fellKpa, units)}`;
    const span =
      shut.untilMs === null
        ? `for ${ageWords(nowMs - shut.sinceMs)} the pressure has been falling, ${fell} so far`
        : `${ageWords(nowMs - shut.sinceMs)} ago the pressure began to fall, ${fell}, until the supply came back ${ageWords(nowMs - shut.untilMs)} ago`;
    return [
      {
        name: 'gas-shut',
        ...(shut.untilMs === null ? {} : { isOver: true }),
        message: `The gas is entered as on, but ${span}, as it does while beer takes up gas and none comes in. Either a valve was shut, or the cylinder ran empty.`,
        advice:
          shut.untilMs === null
            ? 'Look at the cylinder and the valves. If the valve was shut, enter it.'
            : 'If the valve was shut for that time, enter it, and then when it was opened.',
        entry: { kind: 'gas-closed', atMs: shut.sinceMs },
      },
    ];
  }
  return dissolved?.disagreement === 'open-but-no-gas' ? [openButNoGas(setting, units)] : [];
}

function closedButHolds({ volumes }: DissolvedEstimate, units: SpokenUnits): Notice {
  return {
    name: 'closed-but-holds',
    message: `The gas is entered as closed, but the pressure holds as it does with an open valve. Beer that is full up, at about ${carbonationWords(volumes, units)}, would look alike.`,
    advice: 'See whether the valve is really shut. If it was open, correct the entry.',
    entry: null,
  };
}

function openButNoGas(setting: number | null, units: SpokenUnits): Notice {
  const wanted = setting === null ? 'the setting' : `the ${pressureWords(setting, units)} entered for the regulator`;
  return {
    name: 'open-but-no-gas',
    message: `The gas is entered as on, but for an hour the pressure has been far below ${wanted}: no gas reaches the keg.`,
    advice: 'See whether the cylinder is empty, a valve is shut, or the regulator gives less than was entered.',
    entry: null,
  };
}

function leakNotices({ dissolved }: NoticeBasis): Notice[] {
  if (dissolved === null || dissolved.leak === 'none') return [];
  const likely = dissolved.leak === 'likely';
  const percent = Math.min(99, Math.max(1, Math.round(100 * dissolved.leakProbability)));
  return [
    {
      name: likely ? 'leak-likely' : 'leak-suspected',
      message: `With the gas closed the pressure fell as through a leak, and not as beer takes up gas: ${percent} % by this estimate.${likely ? '' : ' A longer gas check would tell.'}`,
      advice:
        'Brush lid, posts and relief valve with soapy water and look for bubbles. Escaping CO2 gathers in closed rooms: air them.',
      entry: null,
    },
  ];
}

function probeNotices({ dissolved, units }: NoticeBasis): Notice[] {
  if (dissolved === null) return [];
  const { airKpa, probeZeroKpa, probeZeroPlusMinusKpa } = dissolved;
  const off = Math.abs(probeZeroKpa);
  const notices: Notice[] = [];
  if (off >= ZERO_KPA && off > probeZeroPlusMinusKpa) {
    notices.push({
      name: 'probe-zero',
      message: `The pressure probe seems to read ${pressureWords(off, units)} too ${probeZeroKpa > 0 ? 'high' : 'low'} (±${pressureWords(probeZeroPlusMinusKpa, units)}): only so does what was measured fit together.`,
      advice: 'Set its zero in open air when the keg is empty, and enter that.',
      entry: null,
    });
  }
  if (airKpa >= AIR_KPA) {
    notices.push({
      name: 'air-in-headspace',
      message: `About ${pressureWords(airKpa, units)} of what the gauge shows seems to be air, so the beer takes up less CO2 than the pressure promises.`,
      advice: 'Purge the headspace a few times and enter how often. Vent gently: a full keg foams.',
      entry: null,
    });
  }
  return notices;
}

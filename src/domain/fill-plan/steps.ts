import { carbonationFigures, carbonationWords, pressureWords, temperatureWords } from '../words.ts';
import { bottleCount, bottleLitres } from './bottles.ts';
import { RAISE_H } from './gas-way.ts';
import { fillingMinutes, type Needs, SET_UP_MIN } from './needs.ts';
import type { SetPoints } from './set-points.ts';
import type { PlanBasis, PlanStep } from './types.ts';
import { isRaised, SAME_KPA, steadyKpa, type Ways } from './ways.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
/** Bottles in the cold the day before; half of that will do in a pinch (h). Common practice, no source. */
const BOTTLES_H = 20;
const BOTTLES_LATEST_H = 8;
const THINGS_H = 26;
const LOOK_MIN = 10;

type Draft = Omit<PlanStep, 'earliestMs' | 'latestMs' | 'value' | 'unit'> &
  Partial<Pick<PlanStep, 'earliestMs' | 'latestMs' | 'value' | 'unit'>>;

function stepOf(draft: Draft): PlanStep {
  return { earliestMs: draft.atMs, latestMs: draft.atMs, value: null, unit: null, ...draft };
}

/** The timetable, in order of time. What would lie in the past is due now. */
export function stepsOf(basis: PlanBasis, ways: Ways, needs: Needs, points: SetPoints): PlanStep[] {
  const drafts = [
    ...coldSteps(basis, ways),
    ...gasSteps(basis, ways),
    ...carbonationStep(basis, ways),
    ...daySteps(basis, needs, points),
  ];
  // What is due at one moment stays in this order.
  return drafts.map((draft) => soonest(stepOf(draft), basis.nowMs)).toSorted((a, b) => a.atMs - b.atMs);
}

function soonest(step: PlanStep, nowMs: number): PlanStep {
  const atMs = Math.max(nowMs, step.atMs);
  return {
    ...step,
    atMs,
    earliestMs: Math.min(atMs, Math.max(nowMs, step.earliestMs)),
    latestMs: Math.max(atMs, step.latestMs),
  };
}

function coldSteps({ nowMs, fillAtMs, units, facts }: PlanBasis, { cold }: Ways): Draft[] {
  const steps: Draft[] = [];
  if (cold.setC !== null) {
    const set = temperatureWords(cold.setC, units);
    const wished = temperatureWords(facts.target.celsius, units);
    const latestMs = nowMs + Math.max(0, cold.slackH) * HOUR_MS;
    steps.push({
      kind: 'fridge',
      by: 'you',
      atMs: nowMs,
      latestMs,
      what: `Set the fridge to ${set}`,
      value: cold.setC,
      unit: 'Cel',
      why: `The beer follows slowly and ends a little above its fridge; it is filled at ${wished}. The sooner it is cold, the sooner it takes up gas.`,
    });
  }
  if (cold.coldIn.hours > 0.5 && cold.coldIn.lowHours < (fillAtMs - nowMs) / HOUR_MS) {
    const at = (hours: number) => nowMs + hours * HOUR_MS;
    steps.push({
      kind: 'cold',
      by: 'keg',
      atMs: Math.min(fillAtMs, at(cold.coldIn.hours)),
      earliestMs: at(cold.coldIn.lowHours),
      latestMs: at(cold.coldIn.highHours),
      what: 'The beer gets cold enough',
      value: facts.target.celsius,
      unit: 'Cel',
      why: `This keg goes two thirds of the way to its fridge's temperature in ${hoursWords(cold.tauH.lowHours, cold.tauH.highHours)}.`,
    });
  }
  return steps;
}

function gasSteps(basis: PlanBasis, ways: Ways): Draft[] {
  const { nowMs, facts, checkSinceMs, units } = basis;
  const { gas, servingKpa } = ways;
  const steps: Draft[] = [];
  const at = (hours: number) => nowMs + hours * HOUR_MS;
  if (checkSinceMs !== null && gas.check !== null) {
    const untilMs = at(gas.check.untilH);
    return [checkEnd(untilMs), ...regulator(basis, ways, untilMs, servingKpa, 'after')];
  }
  const checksAtOnce = gas.check !== null && gas.check.fromH < 0.05;
  if (facts.gas !== 'on' && !checksAtOnce) steps.push(openGas(nowMs));
  if (gas.quick !== null) {
    steps.push(...regulator(basis, ways, nowMs, gas.quick.kpaGauge, 'quick'));
    const untilMs = at(gas.quick.untilH);
    steps.push(...regulator(basis, ways, untilMs, servingKpa, 'down'));
  } else if (gas.gentle && ways.gentleKpa !== null) {
    steps.push(...regulator(basis, ways, nowMs, ways.gentleKpa, 'gentle'));
    const raiseMs = Math.max(nowMs, awakeBefore(basis, basis.fillAtMs - RAISE_H * HOUR_MS));
    steps.push(...regulator(basis, ways, raiseMs, servingKpa, 'raise'));
  } else if (!checksAtOnce) {
    steps.push(...regulator(basis, ways, nowMs, servingKpa, isRaised(basis, servingKpa) ? 'down' : 'serving'));
  }
  if (gas.check === null) return steps;
  const [fromMs, untilMs] = [at(gas.check.fromH), at(gas.check.untilH)];
  steps.push({
    kind: 'check-start',
    by: 'you',
    atMs: fromMs,
    latestMs: fromMs + 2 * HOUR_MS,
    what: `Close the gas for a check of ${Math.round(gas.check.untilH - gas.check.fromH)}\u00a0h`,
    value: Math.round(gas.check.untilH - gas.check.fromH),
    unit: 'h',
    why: `Only a closed keg shows what is in the beer: now that is anything from ${carbonationFigures(basis.dissolved.low, units)} to ${carbonationWords(basis.dissolved.high, units)}. The plan is worked out anew after it. Open the gas at once should the keg show next to no pressure: then its lid may draw air in.`,
  });
  steps.push(checkEnd(untilMs));
  if (checksAtOnce) steps.push(...regulator(basis, ways, untilMs, servingKpa, 'after'));
  return steps;
}

const openGas = (atMs: number): Draft => ({
  kind: 'gas-open',
  by: 'you',
  atMs,
  what: 'Open the gas',
  why: 'It is entered as closed, or nobody said. Beer takes up gas and is filled with the valve open.',
});

const checkEnd = (atMs: number): Draft => ({
  kind: 'check-end',
  by: 'you',
  atMs,
  what: 'Open the gas again',
  why: 'The check has shown what it can. Look here then: the rest of the plan follows from it.',
});

const WHY = {
  quick: 'Higher than it will be served, to be quicker: the beer must not stay under it longer than that.',
  down: 'Turn the regulator down and leave the valve open. The beer takes up what is too much by itself: do not vent a keg that is carbonated, it foams.',
  serving: 'The pressure at which it is filled, and which holds the beer inside its window.',
  gentle: 'Lower than it will be served: here the beer ends in the middle of its window and goes no further.',
  raise: 'Beer is filled at this pressure. Raised only now, it takes up next to nothing more.',
  after: 'The pressure at which it is filled. If the check finds too little gas, the plan will name another.',
} as const;

function regulator(basis: PlanBasis, ways: Ways, atMs: number, kpaGauge: number, why: keyof typeof WHY): Draft[] {
  const { facts, headspaceKpaGauge, nowMs, units } = basis;
  const isNow = atMs <= nowMs;
  // What it was set to counts; a keg that is still coming down shows more than its regulator.
  const comingDown = facts.regulatorKpaGauge !== null && isRaised(basis, ways.servingKpa);
  const now =
    comingDown || facts.gas === 'closed' ? facts.regulatorKpaGauge : (headspaceKpaGauge ?? facts.regulatorKpaGauge);
  if (isNow && now !== null && Math.abs(now - kpaGauge) <= SAME_KPA) return [];
  const isSet = facts.regulatorKpaGauge !== null && Math.abs(facts.regulatorKpaGauge - kpaGauge) <= SAME_KPA;
  if (isNow && (why === 'serving' || why === 'gentle') && isSet) {
    const shown = steadyKpa(basis, kpaGauge);
    return shown === null ? [] : [nudge(basis, shown, kpaGauge)];
  }
  if (why === 'after' && isSet) return [];
  return [
    {
      kind: 'regulator',
      by: 'you',
      atMs,
      latestMs: atMs + (why === 'down' ? 3 : 6) * HOUR_MS,
      what: `Turn the regulator to ${pressureWords(kpaGauge, units)}`,
      value: Math.round(kpaGauge * 10) / 10,
      unit: 'kPa',
      why: WHY[why],
    },
  ];
}

/** Set as it should be, but the keg shows something else: what the probe shows is what counts. */
function nudge({ nowMs, units }: PlanBasis, nowKpa: number, kpaGauge: number): Draft {
  const wanted = pressureWords(kpaGauge, units);
  return {
    kind: 'regulator',
    by: 'you',
    atMs: nowMs,
    latestMs: nowMs + 12 * HOUR_MS,
    what: `Turn the regulator a little ${nowKpa > kpaGauge ? 'down' : 'up'}, until the keg shows ${wanted}`,
    value: Math.round(kpaGauge * 10) / 10,
    unit: 'kPa',
    why: `It is entered as set to that, but the keg shows ${pressureWords(nowKpa, units)}. Turned down, the keg follows only as the beer takes up gas.`,
  };
}

function carbonationStep({ nowMs, fillAtMs, facts, dissolved, units }: PlanBasis, { gas }: Ways): Draft[] {
  const { low, high } = facts.target;
  const isInside = dissolved.volumes >= low && dissolved.volumes <= high;
  if (gas.insideIn === null || isInside) return [];
  const at = (hours: number) => Math.min(fillAtMs, nowMs + hours * HOUR_MS);
  return [
    {
      kind: 'inside',
      by: 'keg',
      atMs: at(gas.insideIn.hours),
      earliestMs: at(gas.insideIn.lowHours),
      latestMs: at(gas.insideIn.highHours),
      what: 'The beer comes inside its window',
      value: facts.target.volumes,
      unit: '{volumes}',
      why: `${carbonationFigures(low, units)} to ${carbonationWords(high, units)}: nobody is needed for it.`,
    },
  ];
}

function daySteps(basis: PlanBasis, needs: Needs, points: SetPoints): Draft[] {
  const { fillAtMs, nowMs, limits, bottles, units } = basis;
  const count = bottleCount(bottles);
  const before = (hours: number) => fillAtMs - hours * HOUR_MS;
  const early = awakeBefore(basis, before(BOTTLES_H));
  const isCold = before(BOTTLES_LATEST_H) <= nowMs;
  const line = `${points.line.lengthM}\u00a0m of ${points.line.boreMm}\u00a0mm line`;
  const slowest = Math.max(...points.secondsPerBottle.map(({ slowSeconds }) => slowSeconds));
  return [
    {
      kind: 'ready-things',
      by: 'you',
      atMs: awakeBefore(basis, before(THINGS_H)),
      latestMs: before(2),
      what: `Get ${needs.bottles} bottles and ${needs.caps} caps ready`,
      value: needs.bottles,
      unit: '{bottles}',
      why: `${needs.bottles - count} of them are spares. Also ${needs.sanitiserL}\u00a0L of sanitiser, a tub for what overflows, and a towel.`,
    },
    {
      kind: 'bottles',
      by: 'you',
      atMs: early,
      latestMs: before(BOTTLES_LATEST_H),
      what: isCold ? 'Chill the bottles in ice-cold sanitiser' : `Put ${needs.bottles} clean bottles into the cold`,
      value: needs.bottles,
      unit: '{bottles}',
      why: isCold
        ? 'There is no time left to chill them in the fridge. A warm bottle makes the beer foam.'
        : 'The day before, so that they are as cold as the beer: a warm bottle makes it foam.',
    },
    {
      kind: 'rest',
      by: 'keg',
      atMs: before(limits.restHours),
      latestMs: fillAtMs,
      what: 'Leave the keg still from now on',
      value: limits.restHours,
      unit: 'h',
      why: `The last moment to move it. No moving, shaking or venting for ${limits.restHours}\u00a0h.`,
    },
    {
      kind: 'set-up',
      by: 'you',
      atMs: fillAtMs - (SET_UP_MIN + LOOK_MIN) * MINUTE_MS,
      what: 'Set up the line and the purge gas',
      value: points.purgeKpaGauge,
      unit: 'kPa',
      why: `${line}. The regulator stays at ${pressureWords(points.servingKpaGauge, units)}, purge with ${pressureWords(points.purgeKpaGauge, units)} for two or three seconds.`,
    },
    {
      kind: 'look',
      by: 'you',
      atMs: fillAtMs - LOOK_MIN * MINUTE_MS,
      what: 'Look here once more',
      why: 'Every check must be fine, or the plan says what to do.',
    },
    {
      kind: 'fill',
      by: 'you',
      atMs: fillAtMs,
      what: 'First bottle',
      value: bottleLitres(bottles),
      unit: 'L',
      why: Number.isFinite(slowest)
        ? `About ${Math.max(1, Math.round((slowest + 45) / 60))} min each with purging and capping.`
        : 'But at this pressure no beer comes up this line: lower the filler.',
    },
    {
      kind: 'end',
      by: 'you',
      atMs: fillAtMs + fillingMinutes(needs) * MINUTE_MS,
      what: 'Last bottle, then rinse the line',
      why: `The whole takes about ${needs.sessionMinutes} min. Set the keg back to what it is served at.`,
    },
  ];
}

/** The same moment, or an earlier one at which somebody is up. */
function awakeBefore({ awakeAt }: PlanBasis, atMs: number): number {
  for (let hours = 0; hours < 12; hours += 1) if (awakeAt(atMs - hours * HOUR_MS)) return atMs - hours * HOUR_MS;
  return atMs;
}

function hoursWords(low: number, high: number): string {
  const figure = (hours: number) => Math.max(1, Math.round(hours));
  return figure(low) === figure(high) ? `${figure(low)}\u00a0h` : `${figure(low)} to ${figure(high)}\u00a0h`;
}

import { carbonationWords, pressureWords, temperatureWords } from '../words.ts';
import type { Needs } from './needs.ts';
import type { SetPoints } from './set-points.ts';
import type { PlanBasis } from './types.ts';
import type { Ways } from './ways.ts';

/** A bottle larger than this has no proof pressure of a beer bottle to go by (L). Chosen, no source. */
const LARGE_L = 1;

/** What is dangerous or doubtful about it, worst first. */
export function cautionsOf(basis: PlanBasis, ways: Ways, needs: Needs, points: SetPoints): string[] {
  return [
    ...glass(basis, points),
    ...gas(basis, ways, needs),
    ...beer(basis, points),
    'Wear eye protection, use no scratched or chipped glass, air the room, and do not lift a full keg alone.',
    'The stamp on the keg, the maker of the bottles and the law where you are come first.',
  ];
}

function glass({ units, bottles, facts }: PlanBasis, points: SetPoints): string[] {
  const warm = pressureWords(points.bottleKpaGaugeAt30C, units);
  const safe = pressureWords(points.glassSafeKpaGauge, units);
  const cautions: string[] = [];
  if (!points.glassIsSafe) {
    cautions.push(
      `Do not fill beer bottles with this: at ${temperatureWords(30, units)} they would be under ${warm}, and ordinary glass is good for ${safe} with a margin. Wish for less than ${carbonationWords(facts.target.high, units)}, or use bottles made for it.`,
    );
  }
  if (bottles.some(({ litres }) => litres > LARGE_L)) {
    cautions.push(
      `Of bottles larger than ${LARGE_L}\u00a0L no proof pressure is known: ask their maker before you fill them.`,
    );
  }
  return cautions;
}

function gas(basis: PlanBasis, { gas: way, servingKpa }: Ways, needs: Needs): string[] {
  const { workingKpaGaugeMax, othersOnGas, facts, limits, units } = basis;
  const cautions: string[] = [];
  const highest = Math.max(servingKpa, way.quick?.kpaGauge ?? 0);
  if (workingKpaGaugeMax !== null && highest > workingKpaGaugeMax) {
    cautions.push(
      `The keg is made for no more than ${pressureWords(workingKpaGaugeMax, units)}: do not set it higher.`,
    );
  }
  if (way.quick !== null && workingKpaGaugeMax === null) {
    cautions.push(`Look at the stamp on the keg before you set ${pressureWords(way.quick.kpaGauge, units)}.`);
  }
  if (othersOnGas.length > 0 && facts.regulatorKpaGauge !== servingKpa) {
    cautions.push(
      `On the same gas: ${othersOnGas.join(', ')}. What is set here reaches that too, so no higher pressure is planned to be quicker.`,
    );
  }
  if (needs.co2LeftGrams !== null && needs.co2LeftGrams < needs.co2Grams) {
    cautions.push(
      `The cylinder holds about ${Math.round(needs.co2LeftGrams)}\u00a0g of CO2 and ${needs.co2Grams}\u00a0g are needed: have a full one at hand.`,
    );
  }
  if (servingKpa < limits.servingKpaLow || servingKpa > limits.servingKpaHigh) {
    cautions.push(
      'This window and this temperature ask for a pressure outside the usual for filling: the flow will be unusual too.',
    );
  }
  return cautions;
}

function beer({ beerLeftL, units }: PlanBasis, points: SetPoints): string[] {
  const cautions: string[] = [];
  if (points.breaksOut) {
    cautions.push(
      `The beer's own gas presses with ${pressureWords(points.breakoutKpaGauge, units)}, more than it is served at: expect foam in the line.`,
    );
  }
  if (beerLeftL === null) cautions.push('Nobody said how much beer is left: whether it is enough cannot be told.');
  if (points.lineAssumed) {
    cautions.push(
      `The line is not entered: ${points.line.lengthM}\u00a0m of ${points.line.boreMm}\u00a0mm are taken. Enter it in the settings.`,
    );
  }
  return cautions;
}

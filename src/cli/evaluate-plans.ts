/** `quietkeg evaluate --plans`: whether fill plans keep what they promise, on simulated kegs. */
import { type PlanRun, type PlanScore, scorePlans } from '../app/plan-score.ts';
import { EXIT, type PlainIo } from './command.ts';
import { runPlan } from './evaluate-plan-run.ts';

/** Plans for so many kegs, fills them by the plans, and prints what came of it. */
export async function evaluatePlans(
  kegs: number,
  asJson: boolean,
  io: Pick<PlainIo, 'out' | 'err' | 'errIsTerminal'>,
): Promise<number> {
  const runs: PlanRun[] = [];
  for (let seed = 1; seed <= kegs; seed += 1) {
    runs.push(runPlan(seed));
    if (io.errIsTerminal === true) io.err(`\r\u001b[K${seed} of ${kegs}`);
    await Promise.resolve();
  }
  if (io.errIsTerminal === true) io.err('\r\u001b[K');
  const score = scorePlans(runs);
  io.out(asJson ? `${JSON.stringify({ ...score, runs })}\n` : text(score));
  return EXIT.done;
}

const percent = (ratio: number): string => `${(100 * ratio).toFixed(0)} %`;

function text(score: PlanScore): string {
  return [
    `Fill plans for ${score.kegs} simulated kegs, an hour from half a day to ten days off`,
    '',
    `Called possible: ${score.calledPossible}. Followed, of these:`,
    `  ready at the hour: ${score.ready} (${percent(score.readyShare)})`,
    `  truly inside the window: ${score.inside} (${percent(score.insideShare)})`,
    `Could be met by someone who knows the true constants: ${score.couldBeMet}; of these called possible: ${score.couldBeMetAndCalled} (${percent(score.calledShare)})`,
    `Called possible, although nobody could have met it: ${score.calledInVain}`,
    'Probability shown, and what came of it:',
    ...score.calibration.map(
      ({ from, kegs, mean, ready }) =>
        `  from ${from.toFixed(2)}: ${kegs} kegs${kegs === 0 ? '' : `, mean ${mean.toFixed(2)}, ready ${percent(ready / kegs)}`}`,
    ),
    `Gas checks a keg: ${score.checksPerKeg.toFixed(1)}; dearest plan: ${score.planCpuMsMax.toFixed(0)} ms of processor time`,
    '',
  ].join('\n');
}

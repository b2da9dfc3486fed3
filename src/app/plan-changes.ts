/** What is otherwise than the plan said, in plain words. */
import type * as contract from '../contract/index.ts';
import { timeWords } from './local-time.ts';

const MOVED_MS = 2 * 3_600_000;
/** A chance that moved by less is no news. */
const CHANCE = 0.15;

/** Sentences on what changed from one plan to the next; none if nothing worth saying did. */
export function changeWords(
  before: contract.FillPlan,
  after: contract.FillPlan,
  nowMs: number,
  timeZone: string,
): string[] {
  const words: string[] = [];
  if (before.possible !== after.possible) {
    words.push(
      after.possible ? `The hour can be met again. ${after.reason}` : `The hour can no longer be met. ${after.reason}`,
    );
  } else if (Math.abs(before.probability - after.probability) >= CHANCE) {
    const better = after.probability > before.probability;
    words.push(`It has become ${better ? 'surer' : 'less sure'}. ${after.reason}`);
  }
  for (const step of after.steps) {
    const known = before.steps.find(({ kind }) => kind === step.kind);
    const isAhead = Date.parse(step.at) > nowMs;
    if (known === undefined) {
      if (step.by === 'you' && NEWS.has(step.kind))
        words.push(`New: ${lower(step.what)}, ${timeWords(Date.parse(step.at), nowMs, timeZone)}.`);
    } else if (step.kind === 'regulator' && known.what !== step.what) {
      words.push(`Instead of “${lower(known.what)}” now: ${lower(step.what)}.`);
    } else if (isAhead && Math.abs(Date.parse(known.at) - Date.parse(step.at)) >= MOVED_MS) {
      words.push(
        `${step.what}: ${timeWords(Date.parse(step.at), nowMs, timeZone)} instead of ${timeWords(Date.parse(known.at), nowMs, timeZone)}.`,
      );
    }
  }
  return words.slice(0, 4);
}

/** Steps that are news when they come up. */
const NEWS: ReadonlySet<string> = new Set(['regulator', 'gas-open', 'check-start', 'fridge']);

const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

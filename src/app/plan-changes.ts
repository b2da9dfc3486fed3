/** What is otherwise than the plan said, in plain words. */
import type * as contract from '../contract/index.ts';
import { timeWords } from './local-time.ts';

const MOVED_MS = 2 * 3_600_000;
/** A chance that moved by less is no news. */
const CHANCE = 0.15;

/** Sentences on what changed since a plan was last said; none if nothing worth saying did. */
export function changeWords(
  before: contract.FillPlan,
  after: contract.FillPlan,
  nowMs: number,
  timeZone: string,
): string[] {
  const words: string[] = [];
  const said = (atMs: number) => timeWords(atMs, nowMs, timeZone);
  if (before.possible !== after.possible) {
    words.push(
      after.possible ? `The hour can be met again. ${after.reason}` : `The hour can no longer be met. ${after.reason}`,
    );
  } else if (Math.abs(before.probability - after.probability) >= CHANCE) {
    const better = after.probability > before.probability;
    words.push(`It has become ${better ? 'surer' : 'less sure'}. ${after.reason}`);
  }
  for (const step of after.steps) {
    const atMs = Date.parse(step.at);
    const known = before.steps.find((one) => isSame(one, step) && Date.parse(one.at) > nowMs - MOVED_MS);
    if (known === undefined) {
      if (step.by === 'you' && NEWS.has(step.kind)) words.push(`New: ${lower(step.what)}, ${said(atMs)}.`);
    } else if (atMs > nowMs && Math.abs(Date.parse(known.at) - atMs) >= MOVED_MS) {
      words.push(`${step.what}: ${said(atMs)} instead of ${said(Date.parse(known.at))}.`);
    }
  }
  return words.slice(0, 4);
}

/** Settings are told apart by what they are set to; of the other kinds there is one at a time. */
const isSame = (one: contract.PlanStep, other: contract.PlanStep): boolean =>
  one.kind === other.kind && (one.kind !== 'regulator' || one.what === other.what);

/** Steps that are news when they come up. */
const NEWS: ReadonlySet<string> = new Set(['regulator', 'gas-open', 'check-start', 'fridge']);

const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

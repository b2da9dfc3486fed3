import { atRestCheck } from './at-rest.ts';
import type { VerdictBasis } from './basis.ts';
import { carbonationCheck } from './carbonation.ts';
import type { Check, CheckState } from './check.ts';
import { coldCheck } from './cold.ts';
import { freezingMarginCheck } from './freezing-margin.ts';
import { overcarbonationRiskCheck } from './overcarbonation-risk.ts';
import { probesFreshCheck } from './probes-fresh.ts';
import { servingPressureCheck } from './serving-pressure.ts';
import { sessionChecks } from './session.ts';
import { steadyCheck } from './steady.ts';

export type VerdictKind = 'ready' | 'wait' | 'act' | 'unknown';

export interface Verdict {
  readonly kind: VerdictKind;
  /** The one sentence to read: what to do, or what to wait for. */
  readonly headline: string;
  readonly checks: readonly Check[];
}

/**
 * May bottles be filled from this keg? Someone being needed outweighs not knowing (it rests on what is known), not
 * knowing outweighs waiting, and only a keg whose every check passes is ready.
 */
export function judge(basis: VerdictBasis): Verdict {
  const checks = [
    carbonationCheck(basis),
    overcarbonationRiskCheck(basis),
    coldCheck(basis),
    freezingMarginCheck(basis),
    servingPressureCheck(basis),
    steadyCheck(basis),
    atRestCheck(basis),
    probesFreshCheck(basis),
    ...sessionChecks(basis),
  ];
  if (basis.batch === null) {
    return { kind: 'unknown', headline: 'Say what is in this keg and when it was filled.', checks };
  }
  return { ...conclude(checks), checks };
}

/** What checks come to together, with the one sentence of it. */
export function conclude(checks: readonly Check[]): Pick<Verdict, 'kind' | 'headline'> {
  const first = (state: CheckState) => checks.find((check) => check.state === state);
  // Freezing beer bursts things, so it is named before anything else that someone must do.
  const act = checks.find(({ name, state }) => name === 'freezing-margin' && state === 'act') ?? first('act');
  if (act !== undefined) return { kind: 'act', headline: act.advice };
  const unknown = firstUnknown(checks);
  if (unknown !== undefined) return { kind: 'unknown', headline: unknown.advice };
  const wait = first('wait');
  if (wait !== undefined) return { kind: 'wait', headline: wait.advice };
  return { kind: 'ready', headline: 'Fill whenever you like.' };
}

/** A silent probe explains every other thing that cannot be told, so it is named first. */
function firstUnknown(checks: readonly Check[]): Check | undefined {
  const unknown = checks.filter((check) => check.state === 'unknown');
  return unknown.find((check) => check.name === 'probes-fresh') ?? unknown[0];
}

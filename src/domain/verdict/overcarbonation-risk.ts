import { carbonationWords, pressureWords, spanWords } from '../words.ts';
import type { VerdictBasis } from './basis.ts';
import type { Check } from './check.ts';
import { advisedSettingKpaGauge } from './serving-pressure.ts';

const HOUR_MS = 3_600_000;

/** Will the beer still be inside its window when the bottles are full? */
export function overcarbonationRiskCheck(basis: VerdictBasis): Check {
  const { facts, units, dissolved } = basis;
  const { high } = facts.target;
  const top = carbonationWords(high, units);
  const aheadHours = hoursAhead(basis);
  const common = {
    name: 'overcarbonation-risk',
    wanted: `below ${top} for ${aheadHours}\u00a0h`,
    wantedLow: null,
    wantedHigh: null,
    unit: null,
  } as const;
  if (dissolved === undefined || dissolved === null) {
    const advice = 'What is in the beer cannot be told yet, so neither can what it comes to.';
    return { ...common, state: 'unknown', measured: null, advice };
  }
  const inHours = dissolved.passesTopInHours;
  if (inHours === null) return { ...common, state: 'pass', measured: 'stays below for a week', advice: '' };
  const when = spanWords({ hours: inHours, lowHours: inHours, highHours: inHours });
  const measured = inHours === 0 ? 'may be past it now' : `may pass it in ${when}`;
  const advised = advisedSettingKpaGauge(basis);
  const turn = advised === null ? 'Turn the regulator down' : `Turn the regulator to ${pressureWords(advised, units)}`;
  const down = turnsDownIn(basis);
  if (down !== null && down < inHours) {
    const planned = spanWords({ hours: down, lowHours: down, highHours: down });
    return {
      ...common,
      state: 'pass',
      measured,
      advice: `By the plan the regulator is turned down in ${planned}: in time.`,
    };
  }
  if (inHours > aheadHours) {
    return { ...common, state: 'pass', measured, advice: `${turn} within ${when}, or the beer goes past ${top}.` };
  }
  // Where the beer settles inside its window a risk comes from not knowing, which the check of carbonation names.
  const settlesBelow = basis.equilibriumVolumes !== null && basis.equilibriumVolumes <= high;
  if (settlesBelow && dissolved.volumes <= high) {
    const advice = 'It may be near its top. A gas check would tell.';
    return { ...common, state: inHours === 0 ? 'wait' : 'pass', measured, advice };
  }
  return { ...common, state: 'act', measured, advice: `${turn} now, or the beer goes past ${top}.` };
}

/** Until the fill that is planned next is over, in whole hours; with none, as long as any filling takes. */
function hoursAhead({ limits, planned, nowMs }: VerdictBasis): number {
  if (planned === undefined || planned === null) return limits.aheadHours;
  return Math.max(1, Math.ceil((planned.endsAtMs - nowMs) / HOUR_MS));
}

/** Hours until the plan turns a higher pressure down; null: it does not, or did. */
function turnsDownIn({ planned, nowMs }: VerdictBasis): number | null {
  const atMs = planned?.turnsDownAtMs ?? null;
  return atMs === null || atMs < nowMs ? null : (atMs - nowMs) / HOUR_MS;
}

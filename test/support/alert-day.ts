import type { AlertSample } from '../../src/alerts/episode.ts';
import type { Observation, RuleName } from '../../src/alerts/rule.ts';
import type { AlertDesk } from '../../src/app/alert-desk.ts';
import { MINUTE, NOON } from './builders.ts';

/** One thing that happens on a scripted day: a sample, which may come again after a restart, or a deed, which does not. */
export type DayStep =
  | { readonly kind: 'sample'; readonly sample: AlertSample }
  | { readonly kind: 'deed'; readonly run: (desk: AlertDesk) => void };

const at = (minute: number) => NOON + minute * MINUTE;

function sample(
  minute: number,
  rule: RuleName,
  target: string,
  finding: Observation,
  more: Partial<AlertSample> = {},
): DayStep {
  const words = (message: string) => ({ measured: minute, limit: null, unit: null, message, advice: '' });
  return {
    kind: 'sample',
    sample: {
      rule,
      target,
      kegId: target,
      finding,
      atMs: at(minute),
      words: words('is'),
      endWords: words('was'),
      ...more,
    },
  };
}
const deed = (run: (desk: AlertDesk) => void): DayStep => ({ kind: 'deed', run });

/**
 * A day on which all kinds of turns happen: begins, ends, building that comes to nothing, late samples, marks, probes that
 * fall silent together, a broker that explains silence, a rule switched off, and a keg taken away.
 */
export function scriptedDay(): DayStep[] {
  const scope = (minute: number) => ({ scope: { key: 'site', onsetMs: at(minute), withinMs: 5 * MINUTE } });
  const under = { under: [{ rule: 'service-trouble', target: 'broker' } as const] };
  return [
    sample(0, 'cold-enough', 'one', 'holds'),
    sample(3, 'cold-enough', 'two', 'holds'),
    sample(5, 'cold-enough', 'two', 'between'),
    sample(6, 'cold-enough', 'one', 'holds'),
    sample(11, 'cold-enough', 'one', 'holds'),
    deed((desk) => desk.acknowledge(`cold-enough.one.${at(0)}`, at(12))),
    sample(20, 'probe-silent', 'one.a', 'holds', scope(5)),
    sample(21, 'probe-silent', 'one.b', 'holds', scope(6)),
    sample(22, 'probe-silent', 'two.a', 'holds', scope(60)),
    sample(25, 'probe-silent', 'one.a', 'over', scope(5)),
    sample(26, 'probe-silent', 'one.b', 'over', scope(6)),
    sample(27, 'probe-silent', 'one.a', 'over', scope(5)),
    deed((desk) => desk.mute(`probe-silent.two.a.${at(22)}`, at(600), 'known')),
    sample(30, 'cold-enough', 'one', 'over'),
    sample(31, 'cold-enough', 'one', 'between'),
    sample(50, 'cold-enough', 'two', 'holds'),
    sample(40, 'cold-enough', 'two', 'holds'),
    sample(60, 'service-trouble', 'broker', 'holds', { kegId: null }),
    sample(63, 'service-trouble', 'broker', 'holds', { kegId: null }),
    sample(70, 'probe-silent', 'three.a', 'holds', { ...scope(60), ...under }),
    sample(75, 'service-trouble', 'broker', 'over', { kegId: null }),
    sample(78, 'service-trouble', 'broker', 'over', { kegId: null }),
    sample(90, 'probe-silent', 'three.a', 'holds', { ...scope(60), ...under }),
    sample(95, 'near-freezing', 'one', 'holds'),
    sample(101, 'near-freezing', 'one', 'holds'),
    deed((desk) => desk.markUnverified('near-freezing', 'one', true)),
    sample(110, 'near-freezing', 'one', 'over'),
    sample(150, 'near-freezing', 'one', 'over'),
    sample(160, 'leak', 'two', 'holds'),
    sample(178, 'leak', 'two', 'holds'),
    sample(195, 'leak', 'two', 'holds'),
    deed((desk) => desk.endRule('leak', at(200), { message: 'The rule was switched off.', advice: '' })),
    sample(210, 'regulator-creeping', 'three', 'holds'),
    sample(235, 'regulator-creeping', 'three', 'holds'),
    sample(260, 'regulator-creeping', 'three', 'holds'),
    sample(280, 'regulator-creeping', 'three', 'holds'),
    deed((desk) => desk.endFor('three', at(300))),
  ];
}

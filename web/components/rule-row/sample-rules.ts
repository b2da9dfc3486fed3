import type { Rule, RuleTrial } from '../../../src/contract/alert.ts';
import { deviceNowMs } from '../../store/clock.ts';

/** Invented settings and pasts, for examples and tests only. */
const HOUR_MS = 3_600_000;
const ago = (hours: number): string => new Date(deviceNowMs() - hours * HOUR_MS).toISOString();

export const FRIDGE_RULE: Rule = {
  rule: 'fridge-warm',
  title: 'Fridge warm',
  level: 'attention',
  enabled: true,
  onDelayS: 1800,
  offDelayS: 3600,
  usualOnDelayS: 1800,
  usualOffDelayS: 3600,
  limits: [
    {
      name: 'airAboveC',
      value: 2.5,
      usual: 2.5,
      unit: 'K',
      low: 1,
      high: 15,
      what: 'air this far above what is set, as a mean of half an hour',
    },
    { name: 'endAboveC', value: 1.5, usual: 1.5, unit: 'K', low: 0.2, high: 10, what: 'ends this far above' },
  ],
  cause: 'The door is ajar, the power is off, or the fridge has failed.',
  consequence: 'Warming beer loses its place in the window, and the pressure in the keg rises.',
  action: 'Shut the door; see that the fridge has power and runs.',
  timeToAct: 'A full keg warms by about a degree in an hour or two.',
  source: 'Common practice, no source.',
};

export const CREEP_RULE: Rule = {
  ...FRIDGE_RULE,
  rule: 'regulator-creeping',
  title: 'Regulator creeps up',
  enabled: false,
  limits: [
    {
      name: 'aboveKpa',
      value: 14,
      usual: 10,
      unit: 'kPa',
      low: 3,
      high: 100,
      what: 'pressure this far above what it held before',
    },
  ],
};

export const ROOM_RULE: Rule = {
  ...FRIDGE_RULE,
  rule: 'room-co2-short',
  title: 'CO2 in the room, mean of 15 min',
  level: 'urgent',
  onDelayS: 0,
  usualOnDelayS: 0,
  limits: [
    {
      name: 'ppm',
      value: 15_000,
      usual: 15_000,
      unit: '[ppm]',
      low: 2000,
      high: 15_000,
      what: 'mean of 15 min at which it begins',
    },
  ],
  cause: 'A large leak in a room that is not aired.',
  consequence: 'Short breath, racing heart; people may not notice in time.',
  action:
    'Leave the room, air it from outside, close the cylinder only if you can do so in fresh air. Quietkeg is no safety device: have a certified CO2 alarm, and keep to the rules and codes of your place.',
  timeToAct: 'At once.',
  source: 'HSE EH40: 15,000 ppm over 15 min (seen in a text that quotes it).',
};

function trial(spans: readonly (readonly [beganAgo: number, endedAgo: number | null])[]): RuleTrial {
  return {
    rule: 'fridge-warm',
    from: ago(720),
    to: ago(0),
    stepS: 300,
    begins: spans.length,
    messages: spans.reduce((sum, [, ended]) => sum + (ended === null ? 1 : 2), 0),
    episodes: spans.map(([began, ended]) => ({
      target: 'fridge',
      kegId: null,
      beganAt: ago(began),
      endedAt: ended === null ? null : ago(ended),
      message: 'The air in Garage fridge is warmer than set.',
    })),
    note: '',
  };
}
export const NOW_TRIAL = trial([
  [640, 630],
  [410, 404],
  [300, 297],
  [120, 110],
]);
export const CALMER_TRIAL = trial([[640, 632]]);
export const NOTHING_TRIAL: RuleTrial = {
  ...trial([]),
  from: ago(48),
  note: 'Troubles of the disk are not kept, so nothing can be tried.',
};

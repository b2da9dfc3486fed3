import type { Rule } from '../../../src/contract/alert.ts';

export type RuleName = Rule['rule'];

export const LEVEL_WORD: Readonly<Record<Rule['level'], string>> = {
  news: 'good to know',
  attention: 'look within hours',
  urgent: 'act now',
};

/** What each rule looks at. */
export const WATCHES: Readonly<Record<RuleName, string>> = {
  'ready-to-fill': 'The verdict of each keg.',
  'cold-enough': 'The temperature of the beer, against the temperature at which you want to fill.',
  carbonated: 'What is in the beer, against the window you wished for.',
  'no-longer-cold': 'The temperature of the beer between the beginning and the end of a filling.',
  'will-pass-window': 'Where the carbonation is heading, for the days to come.',
  'over-window': 'What is in the beer, against the top of its window.',
  'pressure-falling': 'The pressure while the gas is open, against the setting of the regulator.',
  leak: 'The pressure while the gas is closed, and the weight of the cylinder while it is open.',
  'regulator-creeping': 'The pressure while the gas is open, against what it held before and against the setting.',
  'cylinder-low': 'The weight of the cylinder, or its pressure.',
  'fridge-warm': 'The air in the fridge, or the beer where no probe is in the air.',
  'near-freezing': 'The temperature of the beer, against where beer of its alcohol begins to freeze.',
  'over-working-pressure': 'The pressure in the keg, against the working pressure entered for it.',
  'room-co2-long': 'The CO2 in the air of the room, as a mean of eight hours.',
  'room-co2-short': 'The CO2 in the air of the room, as a mean of a quarter of an hour.',
  'room-co2-danger': 'Each single reading of the CO2 in the air of the room.',
  'probe-silent': 'How long ago each probe was heard.',
  'probe-implausible': 'Whether what a probe says can be true.',
  'probe-zero': 'Whether a pressure probe reads nothing when there is nothing.',
  'entry-contradicts-probes': 'What was entered about the gas, against what the pressure does.',
  'service-trouble': 'The broker, the store of readings, the disk and the clock of the machine that Quietkeg runs on.',
  'readings-not-kept': 'Whether new readings reach the disk.',
  'readings-wait': 'Whether readings reach their store.',
};

/** Rules of one kind stand together. */
export const GROUPS: readonly { readonly heading: string; readonly rules: readonly RuleName[] }[] = [
  {
    heading: 'The beer',
    rules: [
      'ready-to-fill',
      'cold-enough',
      'carbonated',
      'no-longer-cold',
      'will-pass-window',
      'over-window',
      'fridge-warm',
      'near-freezing',
    ],
  },
  {
    heading: 'The gas',
    rules: ['pressure-falling', 'leak', 'regulator-creeping', 'cylinder-low', 'over-working-pressure'],
  },
  { heading: 'The air of the room', rules: ['room-co2-long', 'room-co2-short', 'room-co2-danger'] },
  {
    heading: 'Probes, entries and Quietkeg itself',
    rules: [
      'probe-silent',
      'probe-implausible',
      'probe-zero',
      'entry-contradicts-probes',
      'service-trouble',
      'readings-not-kept',
      'readings-wait',
    ],
  },
];

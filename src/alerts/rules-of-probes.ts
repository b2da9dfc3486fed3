import type { RuleName, ShippedRule } from './rule.ts';
import { HOUR_MS, MINUTE_MS, OF_STATES, PRACTICE } from './rules-of-beer.ts';

type ProbeRule = Extract<
  RuleName,
  | 'probe-silent'
  | 'probe-implausible'
  | 'probe-zero'
  | 'entry-contradicts-probes'
  | 'service-trouble'
  | 'readings-not-kept'
  | 'readings-wait'
>;

/** Rules about what everything else rests on: probes, entries, and the service itself. */
export const PROBE_RULES: Readonly<Record<ProbeRule, ShippedRule>> = {
  'probe-silent': {
    ...OF_STATES,
    name: 'probe-silent',
    title: 'Probe silent',
    level: 'attention',
    // Its delays are in the probe's own limits: late is building, stale is active.
    onDelayMs: 0,
    offDelayMs: 0,
    sampleGapMsMax: Number.POSITIVE_INFINITY,
    limits: {},
    cause: 'No power, no network, an empty battery, or a broken cable.',
    consequence: 'Nothing can be told of what it measured: verdicts become unknown.',
    action: 'See that it has power and network, and that its battery is good.',
    timeToAct: 'A day, or before the next fill.',
    source: 'Silent for twelve of its own usual intervals, between 8 min and 2 h. Chosen, no source.',
  },
  'probe-implausible': {
    ...OF_STATES,
    name: 'probe-implausible',
    title: 'Probe implausible',
    level: 'attention',
    onDelayMs: 10 * MINUTE_MS,
    offDelayMs: 30 * MINUTE_MS,
    sampleGapMsMax: HOUR_MS,
    limits: {
      refusedMin: { usual: 5, unit: '1', low: 2, high: 1000, what: 'values in a row that cannot be true' },
      stuckHours: { usual: 48, unit: 'h', low: 6, high: 168, what: 'hours without the least change' },
    },
    cause: 'A loose wire, a broken sensor, a wrong unit, or firmware that repeats its last value.',
    consequence: 'What rests on it is wrong, or is not computed.',
    action: 'Look at its wiring and its unit; compare with another probe.',
    timeToAct: 'A day, or before the next fill.',
    source: 'Ranges of the quantities; the rest is common practice, no source.',
  },
  'probe-zero': {
    ...OF_STATES,
    name: 'probe-zero',
    title: 'Pressure probe off its zero',
    level: 'attention',
    onDelayMs: 6 * HOUR_MS,
    offDelayMs: 24 * HOUR_MS,
    limits: {},
    cause: 'The probe has drifted, or its zero was never set.',
    consequence: 'Equilibrium and advised settings are off by as much.',
    action: 'Set its zero in open air when the keg is empty, and enter that.',
    timeToAct: 'Days.',
    source: PRACTICE,
  },
  'entry-contradicts-probes': {
    ...OF_STATES,
    name: 'entry-contradicts-probes',
    title: 'Probes contradict an entry',
    level: 'attention',
    onDelayMs: 30 * MINUTE_MS,
    offDelayMs: HOUR_MS,
    limits: {},
    cause: 'A valve was turned and not entered, or entered and not turned.',
    consequence: 'The estimate of what the beer holds goes wrong.',
    action: 'Look at the valve and correct the entry.',
    timeToAct: 'A day.',
    source: PRACTICE,
  },
  'service-trouble': {
    ...OF_STATES,
    name: 'service-trouble',
    title: 'Trouble of the service',
    level: 'attention',
    onDelayMs: 2 * MINUTE_MS,
    offDelayMs: 2 * MINUTE_MS,
    sampleGapMsMax: Number.POSITIVE_INFINITY,
    limits: {},
    cause: 'The broker, the reading store, the disk or the clock of this machine is in trouble.',
    consequence: 'Nothing new is heard or kept, or times are wrong. Other alerts may not come.',
    action: 'Do what the message names; the log of the service says more.',
    timeToAct: 'Hours.',
    source: PRACTICE,
  },
  // It is known for certain, so nothing is waited for.
  'readings-not-kept': {
    ...OF_STATES,
    name: 'readings-not-kept',
    title: 'Readings are not kept',
    level: 'urgent',
    onDelayMs: 0,
    offDelayMs: 0,
    sampleGapMsMax: Number.POSITIVE_INFINITY,
    isToldUnsaved: true,
    limits: {},
    cause: 'The disk of the data folder is full or does not work.',
    consequence: 'New readings are refused. Probes that wait for an answer send again; others are lost.',
    action: 'Make room on the disk of the data folder.',
    timeToAct: 'At once.',
    source: PRACTICE,
  },
  // Readings are safe on the disk, so it is worth a word only when it lasts.
  'readings-wait': {
    ...OF_STATES,
    name: 'readings-wait',
    title: 'Readings wait',
    level: 'attention',
    onDelayMs: 5 * MINUTE_MS,
    offDelayMs: 0,
    sampleGapMsMax: MINUTE_MS,
    limits: {},
    cause: 'The reading store is away, full, or set up otherwise than it should be.',
    consequence: 'New readings wait on this disk; curves end where the store stopped.',
    action: 'See that the store runs and has room.',
    timeToAct: 'Hours, as long as the disk has room.',
    source: PRACTICE,
  },
};

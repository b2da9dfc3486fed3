import type { Episode } from '../../src/contract/alert.ts';
import type { Gap } from '../../src/contract/delivery.ts';
import type { EventKind } from '../../src/contract/event.ts';
import type { Check, CheckName, Input, Notice, VerdictKind } from '../../src/contract/state.ts';

export type Quantity = Input['quantity'];
type CheckState = Check['state'];

export const VERDICT_WORD: Readonly<Record<VerdictKind, string>> = {
  ready: 'Ready',
  wait: 'Waiting',
  act: 'Needs you',
  unknown: 'Can’t tell',
};

/** What a verdict was, once it is too old to believe: "Was ready at 14:02". */
export const VERDICT_WAS: Readonly<Record<VerdictKind, string>> = {
  ready: 'Was ready',
  wait: 'Was waiting',
  act: 'Needed you',
  unknown: 'Could not tell',
};

export const CHECK_WORD: Readonly<Record<CheckName, string>> = {
  carbonation: 'Carbonation',
  'overcarbonation-risk': 'Stays in the window',
  cold: 'Cold enough',
  'freezing-margin': 'Clear of freezing',
  'serving-pressure': 'Serving pressure',
  steady: 'Steady',
  'at-rest': 'At rest',
  'probes-fresh': 'Probes heard',
  'purge-pressure': 'Purge pressure',
  'bottles-cold': 'Bottles cold',
  'gas-supply': 'Gas left',
  'beer-left': 'Beer left',
};

/** A check that someone must act on is called by what is wrong where its name says what is right. */
export function checkWord(check: Pick<Check, 'name' | 'state'>): string {
  if (check.name === 'overcarbonation-risk' && check.state === 'act') return 'Heading past its window';
  return CHECK_WORD[check.name];
}

/** The quantities a check is told by: its age is the age of the oldest of them. */
export const CHECK_QUANTITIES: Readonly<Partial<Record<CheckName, readonly Quantity[]>>> = {
  carbonation: ['beer-temperature', 'headspace-pressure'],
  'overcarbonation-risk': ['beer-temperature', 'headspace-pressure'],
  cold: ['beer-temperature'],
  'freezing-margin': ['beer-temperature'],
  'serving-pressure': ['headspace-pressure'],
  steady: ['beer-temperature', 'headspace-pressure'],
  'probes-fresh': ['beer-temperature', 'headspace-pressure'],
  'purge-pressure': ['purge-pressure'],
  'bottles-cold': ['bottle-temperature'],
  'gas-supply': ['cylinder-mass', 'cylinder-pressure'],
  'beer-left': ['keg-mass'],
};

/** The sign that stands for a check's state; checks that pass use the sign of ready, softened. */
export const CHECK_SIGN: Readonly<Record<Exclude<CheckState, 'not-watched'>, VerdictKind>> = {
  pass: 'ready',
  wait: 'wait',
  act: 'act',
  unknown: 'unknown',
};

/** Said to screen readers beside the sign. */
export const CHECK_STATE_WORD: Readonly<Record<CheckState, string>> = {
  pass: 'fine',
  wait: 'takes time',
  act: 'needs you',
  unknown: 'can’t tell',
  'not-watched': 'not watched',
};

export const QUANTITY_WORD: Readonly<Record<Quantity, string>> = {
  'beer-temperature': 'Beer temperature',
  'air-temperature': 'Air temperature',
  'bottle-temperature': 'Bottle temperature',
  'headspace-pressure': 'Pressure in the keg',
  'regulator-pressure': 'Regulator pressure',
  'purge-pressure': 'Purge pressure',
  'cylinder-pressure': 'Cylinder pressure',
  'ambient-pressure': 'Air pressure (barometer)',
  'keg-mass': 'Weight of the keg',
  'cylinder-mass': 'Weight of the cylinder',
  'room-co2': 'CO2 in the room',
  'beer-flow': 'Beer flow',
};

/** What measures a quantity, with its article: "Left keg has a beer thermometer already". */
export const PROBE_WORD: Readonly<Record<Quantity, string>> = {
  'beer-temperature': 'a beer thermometer',
  'air-temperature': 'an air thermometer',
  'bottle-temperature': 'a bottle thermometer',
  'headspace-pressure': 'a pressure probe',
  'regulator-pressure': 'a probe on its regulator',
  'purge-pressure': 'a probe for purging',
  'cylinder-pressure': 'a probe on its cylinder',
  'ambient-pressure': 'a barometer',
  'keg-mass': 'a scale',
  'cylinder-mass': 'a scale under its cylinder',
  'room-co2': 'a CO2 probe',
  'beer-flow': 'a flow meter',
};

export const EVENT_WORD: Readonly<Record<EventKind, string>> = {
  'keg-filled': 'Keg filled',
  'keg-emptied': 'Keg empty',
  'target-set': 'Window set',
  'fridge-set': 'Fridge set',
  'regulator-set': 'Regulator turned',
  'cylinder-changed': 'New gas cylinder',
  'headspace-purged': 'Headspace purged',
  'gas-opened': 'Gas opened',
  'gas-closed': 'Gas closed',
  'keg-vented': 'Keg vented',
  'keg-moved': 'Keg moved',
  'keg-shaken': 'Keg shaken',
  'beer-drawn': 'Beer drawn',
  'diffusion-stone-started': 'Diffusion stone on',
  'gas-check-started': 'Gas check begun',
  'gas-check-ended': 'Gas check ended',
  'keg-weighed': 'Keg weighed',
  'sample-measured': 'Carbonation measured',
  'probe-zeroed': 'Pressure probe zeroed',
  'line-cleaned': 'Line cleaned',
  'bottles-chilled': 'Bottles chilled',
  'fill-started': 'Filling begun',
  'fill-ended': 'Filling ended',
  note: 'Note',
};

/** What was noticed, in one short line for a list of kegs; the weightiest first. */
export const NOTICE_LINE: Readonly<Record<Notice['name'], string>> = {
  'leak-likely': 'Very likely it leaks',
  'open-but-no-gas': 'The gas is open, but none comes',
  'closed-but-holds': 'Entered as closed, but it holds like an open valve',
  'gas-shut': 'It looks as if the gas was closed',
  'gas-opened': 'It looks as if the gas was opened',
  'leak-suspected': 'It may leak',
  'probe-zero': 'The pressure probe may be off its zero',
  'air-in-headspace': 'Air may be left in the headspace',
};

/** Noticed things that somebody must see to; the others only ask what was done. */
export const NOTICE_ACTS: ReadonlySet<Notice['name']> = new Set(['leak-likely', 'open-but-no-gas']);

/** The weightiest first. */
export function byWeight(notices: readonly Notice[]): Notice[] {
  const names = Object.keys(NOTICE_LINE);
  return notices.toSorted((a, b) => names.indexOf(a.name) - names.indexOf(b.name));
}

export const GAS_WORD = { on: 'gas open', closed: 'gas closed', unknown: 'gas: not known' } as const;

export const AMBIENT_WORD = {
  barometer: 'by the barometer',
  'batch-altitude': 'from the altitude entered with the beer',
  'site-altitude': 'from the altitude in Settings',
  'assumed-sea-level': 'sea level assumed',
} as const;

/** Why readings are missing, as the beginning of a sentence that ends with the time. */
export const CAUSE_SENTENCE: Readonly<Record<Gap['cause'], string>> = {
  'service-down': 'Quietkeg was not running',
  'session-lost': 'The broker had forgotten Quietkeg, and kept nothing for it,',
  'broker-dropped': 'The broker threw messages away',
  'probe-silent': 'Nothing was heard of the probes',
};

/** The sign of an alert: news is no call for a person. */
export function episodeSign(episode: Pick<Episode, 'rule' | 'level'>): VerdictKind {
  if (episode.rule === 'probe-silent') return 'unknown';
  return episode.level === 'news' ? 'ready' : 'act';
}

const NUMBERS = [
  'No',
  'One',
  'Two',
  'Three',
  'Four',
  'Five',
  'Six',
  'Seven',
  'Eight',
  'Nine',
  'Ten',
  'Eleven',
  'Twelve',
];

/** "One keg needs you", "Three kegs need you", "Can’t tell about two kegs", "Nobody is needed". */
export function needSentence(kinds: readonly VerdictKind[]): string {
  const acts = kinds.filter((kind) => kind === 'act').length;
  if (acts > 0) return `${counted(acts)} ${acts === 1 ? 'keg needs' : 'kegs need'} you`;
  const unknowns = kinds.filter((kind) => kind === 'unknown').length;
  if (unknowns > 0) return `Can’t tell about ${counted(unknowns).toLowerCase()} ${unknowns === 1 ? 'keg' : 'kegs'}`;
  return 'Nobody is needed';
}

export const counted = (count: number): string => NUMBERS[count] ?? String(count);

/** "beer temperature and pressure in the keg" */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

/** A sentence without its last full stop, for a slip that stands alone like a heading. */
export const withoutStop = (sentence: string): string => sentence.replace(/\.$/, '');

import type { Probe } from '../../../src/contract/catalogue.ts';

type Quantity = Probe['quantity'];

/** What a topic says by itself; an empty text is not known. */
export interface Guess {
  readonly quantity: Quantity | '';
  readonly of: string;
}

/** Ids of what probes may belong to: kegs that are known or were heard, and places and gas supplies with their kind. */
export interface KnownIds {
  readonly kegs: readonly string[];
  /** Written as probes name them: place/fridge. */
  readonly places: readonly string[];
  /** Written as probes name them: gas/gas. */
  readonly supplies: readonly string[];
}

/** Words of a level, as people write them into topics: "beer-temp", "beer_temp", "beerTemp". */
const wordsOf = (level: string): string[] =>
  level
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .filter((word) => word !== '');

/**
 * Guesses what a topic tells of, from its own levels. A keg is guessed only where a whole level is its id, and a
 * quantity only where its last level names one; what the topic does not say, the reader is asked.
 */
export function guessTopic(topic: string, known: KnownIds): Guess {
  const levels = topic.split('/').filter((level) => level !== '');
  const words = wordsOf(levels.at(-1) ?? '');
  const kegs = known.kegs.filter((id) => levels.includes(id));
  const keg = kegs.length === 1 ? kegs[0] : undefined;
  if (keg !== undefined) return { of: keg, quantity: ofKeg(words) };
  const place = onlyOne(known.places, levels);
  const placed = ofPlace(words);
  if (place !== null && placed !== '') return { of: place, quantity: placed };
  const supply = onlyOne(known.supplies, levels);
  const supplied = ofSupply(words);
  if (supply !== null && supplied !== '') return { of: supply, quantity: supplied };
  if (words.some((word) => word.startsWith('baro'))) return { of: 'site', quantity: 'ambient-pressure' };
  return { of: '', quantity: '' };
}

/** The one of these whose id is a level of the topic. */
function onlyOne(ids: readonly string[], levels: readonly string[]): string | null {
  const found = ids.filter((id) => levels.includes(id.slice(id.indexOf('/') + 1)));
  return found.length === 1 ? (found[0] ?? null) : null;
}

const tells = (words: readonly string[], ...beginnings: readonly string[]): boolean =>
  words.some((word) => beginnings.some((beginning) => word.startsWith(beginning)));

/** A keg has one thermometer and one pressure that matter; other places are named beside them. */
function ofKeg(words: readonly string[]): Quantity | '' {
  if (tells(words, 'air', 'room', 'ambient', 'bottle', 'regulator', 'cylinder', 'purge')) return '';
  if (tells(words, 'temp', 'thermo')) return 'beer-temperature';
  if (tells(words, 'press', 'psi', 'kpa')) return 'headspace-pressure';
  if (tells(words, 'weight', 'mass', 'scale')) return 'keg-mass';
  if (tells(words, 'flow')) return 'beer-flow';
  return '';
}

function ofPlace(words: readonly string[]): Quantity | '' {
  if (tells(words, 'co2')) return 'room-co2';
  if (!tells(words, 'temp', 'thermo') || tells(words, 'beer')) return '';
  return tells(words, 'bottle') ? 'bottle-temperature' : 'air-temperature';
}

function ofSupply(words: readonly string[]): Quantity | '' {
  if (tells(words, 'weight', 'mass', 'scale')) return 'cylinder-mass';
  if (!tells(words, 'press', 'psi', 'kpa')) return '';
  if (tells(words, 'regulator')) return 'regulator-pressure';
  if (tells(words, 'purge')) return 'purge-pressure';
  return tells(words, 'cylinder', 'tank') ? 'cylinder-pressure' : '';
}

import { ageWords, carbonationWords, pressureWords, type SpokenUnits, temperatureWords } from '../words.ts';
import type { Level, Matter, MatterStory, Part } from './matter.ts';
import { cutAtWord, oneLine } from './one-line.ts';
import type { Phrases } from './phrases.ts';

/** A message is whole in so many characters: more is cut off by phones and watches. */
export const TEXT_LENGTH_MAX = 178;
const SUBJECT_LENGTH_MAX = 100;
const NO_BREAK = '\u00a0';

/** For whom a message is written. */
export interface Hearer {
  readonly units: SpokenUnits;
  /** Units in which the matter's own words were written. */
  readonly writtenIn: SpokenUnits;
  /** The hearer's wall clock, such as "14:02" or "Tue 14:02". */
  readonly timeWords: (atMs: number) => string;
  /** Where to look; null if nobody said how the dashboard is reached. */
  readonly link: string | null;
  /** Where the hearer acknowledges a matter; null: nowhere. Among the details alone: short texts have no space for it. */
  readonly acknowledgeLink?: (matterId: string) => string | null;
  readonly phrases: Phrases;
}

export interface MessageWords {
  /** One line. */
  readonly subject: string;
  /** One line of at most `TEXT_LENGTH_MAX` characters that says it all. */
  readonly text: string;
  /** Several lines with everything, for those who can show them. */
  readonly details: string;
}

export interface ToldPart {
  readonly part: Part;
  readonly story: MatterStory;
}

/** What to say of one matter, or of several at once. */
export function messageWords(told: readonly ToldPart[], hearer: Hearer): MessageWords {
  const { phrases, link } = hearer;
  const each = told.map((one) => spoken(one, hearer));
  const details = each.map((one) => one.lines.join('\n')).join('\n\n');
  const whole = link === null ? details : `${details}\n\n${link}`;
  const [only] = each;
  if (each.length === 1 && only !== undefined) {
    const pieces = [...only.pieces, ...(link === null ? [] : [{ text: link, rank: 5 }])];
    return { subject: oneLine(only.headline, SUBJECT_LENGTH_MAX), text: fitted(pieces), details: whole };
  }
  const headlines = each.map(({ headline }) => headline);
  return {
    subject: oneLine(`${phrases.digest(each.length)} ${headlines.join(' ')}`, SUBJECT_LENGTH_MAX),
    text: digestText(headlines, hearer),
    details: whole,
  };
}

interface Piece {
  readonly text: string;
  /** The greatest goes first where space is short; 0 always stays. */
  readonly rank: number;
}

interface Spoken {
  readonly headline: string;
  readonly pieces: readonly Piece[];
  readonly lines: readonly string[];
}

function spoken({ part, story }: ToldPart, hearer: Hearer): Spoken {
  const { phrases } = hearer;
  const matter = part.turn === 'both' ? story.begin : story.latest;
  const message = inUnits(oneLine(matter.message), matter, hearer);
  const advice = part.turn === 'both' ? '' : inUnits(oneLine(matter.advice), matter, hearer);
  const measured = figure(matter.measured, matter.unit, hearer.units);
  const limit = figure(matter.limit, matter.unit, hearer.units);
  const headline = headlineOf(part, story.latest.level, message, phrases);
  const when = whenWords(part, story, hearer);
  const isSaid = measured === null || message.includes(measured);
  const facts = part.turn === 'begin' || part.turn === 'change';
  const pieces = [
    { text: headline, rank: 0 },
    { text: isSaid || !facts ? '' : phrases.measured(measured), rank: 3 },
    { text: limit === null || !facts ? '' : phrases.limit(limit), rank: 4 },
    { text: when, rank: 2 },
    { text: advice, rank: 1 },
  ].filter(({ text }) => text !== '');
  const acknowledgeLink = hearer.acknowledgeLink?.(story.latest.id) ?? null;
  const lines = [
    headline,
    ...(measured === null ? [] : [phrases.measured(measured)]),
    ...(limit === null ? [] : [phrases.limit(limit)]),
    when,
    ...(advice === '' ? [] : [phrases.whatToDo(advice)]),
    ...(acknowledgeLink === null ? [] : [phrases.acknowledge(acknowledgeLink)]),
  ];
  return { headline, pieces, lines };
}

function headlineOf({ turn }: Part, level: Level, message: string, phrases: Phrases): string {
  if (turn === 'both') return phrases.alreadyOver(message);
  if (turn === 'end') return phrases.over(message);
  return level === 'urgent' ? phrases.urgent(message) : message;
}

function whenWords({ turn }: Part, { latest }: MatterStory, { phrases, timeWords }: Hearer): string {
  const began = timeWords(latest.beganAtMs);
  const isOver = turn === 'end' || turn === 'both';
  return isOver && latest.endedAtMs !== null
    ? phrases.lasted(began, timeWords(latest.endedAtMs))
    : phrases.since(began);
}

/** The pieces in their order, without the least important ones where all would be too long. */
function fitted(pieces: readonly Piece[]): string {
  const joined = (some: readonly Piece[]) => some.map(({ text }) => text).join(' ');
  for (let rank = 6; rank > 0; rank -= 1) {
    const text = joined(pieces.filter((piece) => piece.rank < rank));
    if (text.length <= TEXT_LENGTH_MAX) return text;
  }
  return `${cutAtWord(joined(pieces.filter(({ rank }) => rank === 0)), TEXT_LENGTH_MAX - 1)}…`;
}

/** As many headlines as fit, then how many more there are. */
function digestText(headlines: readonly string[], { phrases, link }: Hearer): string {
  const counted = phrases.digest(headlines.length);
  for (let shown = headlines.length; shown > 0; shown -= 1) {
    const rest = headlines.length - shown;
    const more = rest === 0 ? [] : [phrases.more(rest)];
    for (const end of link === null ? [[]] : [[link], []]) {
      const text = [counted, ...headlines.slice(0, shown), ...more, ...end].join(' ');
      if (text.length <= TEXT_LENGTH_MAX) return text;
    }
  }
  const more = phrases.more(headlines.length - 1);
  const space = TEXT_LENGTH_MAX - counted.length - more.length - 3;
  return `${counted} ${cutAtWord(headlines.join(' '), space)}… ${more}`;
}

/** A number with its unit as the hearer reads it; null if there is none. */
export function figure(value: number | null, unit: string | null, units: SpokenUnits): string | null {
  if (value === null) return null;
  switch (unit) {
    case 'Cel':
      return temperatureWords(value, units);
    case 'kPa':
      return pressureWords(value, units);
    case 'volumes':
      return carbonationWords(value, units);
    case 's':
      return ageWords(value * 1000);
    case '[ppm]':
      return `${Math.round(value)}${NO_BREAK}ppm`;
    default:
      return unit === null ? `${value}` : `${Number(value.toPrecision(3))}${NO_BREAK}${unit}`;
  }
}

/** Words after a figure that make it a difference or a rate: those are not converted as a value would be. */
const DIFFERENCE = '(?! (?:an?|per|too|above|below|under|over|warmer|colder|more|less|higher|lower)\\b)';

/** The matter's measured value and limit inside its words, in the hearer's units. Other figures keep their own unit. */
function inUnits(words: string, { measured, limit, unit }: Matter, { units, writtenIn }: Hearer): string {
  return [measured, limit].reduce((text, value) => {
    const written = figure(value, unit, writtenIn);
    const wanted = figure(value, unit, units);
    if (written === null || wanted === null || written === wanted) return text;
    const escaped = written.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
    return text.replace(new RegExp(`(?<![\\d.\u2212-])${escaped}${DIFFERENCE}`, 'g'), wanted);
  }, words);
}

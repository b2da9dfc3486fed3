import { isQuantity, QUANTITY_RULES, type Quantity, type SubjectKind } from './quantity.ts';

/** What a probe measures. */
export type Subject =
  | { readonly kind: 'keg'; readonly id: string }
  | { readonly kind: 'place'; readonly id: string }
  | { readonly kind: 'supply'; readonly id: string }
  | { readonly kind: 'site' };

const ID = /^[a-z0-9][a-z0-9-]{0,62}$/;
const PREFIX = 'probes/';
const WORDS: Readonly<Record<SubjectKind, string>> = {
  keg: 'a keg: probes/<kegId>/',
  place: 'a place: probes/place/<placeId>/',
  supply: 'a gas supply: probes/gas/<supplyId>/',
  site: 'the site: probes/site/',
};

/** Names of topics that no keg may have as its id. */
const NOT_KEG_IDS: readonly string[] = ['place', 'gas', 'site'];

export function isKegId(text: string): boolean {
  return ID.test(text) && !NOT_KEG_IDS.includes(text);
}

/** What the service itself publishes; it never listens to it. */
export function isOwnTopic(topic: string): boolean {
  return topic.startsWith('quietkeg/');
}

export type TopicMeaning =
  | { readonly kind: 'probe'; readonly subject: Subject; readonly quantity: Quantity }
  /** Below `probes/`, so meant for us, but not understandable; the reason says why. */
  | { readonly kind: 'misspelt'; readonly reason: string }
  /** Not one of our default topics. */
  | { readonly kind: 'other' };

/** Reads a default topic: probes/<kegId>/…, probes/place/<id>/…, probes/gas/<id>/…, probes/site/…. */
export function readTopic(topic: string): TopicMeaning {
  if (!topic.startsWith(PREFIX)) return { kind: 'other' };
  const levels = topic.slice(PREFIX.length).split('/');
  const subject = readSubject(levels.slice(0, -1));
  if (subject === null) {
    return {
      kind: 'misspelt',
      reason: `expected probes/<kegId>/<quantity> with an id of a-z, 0-9 and - (at most 63); got ${topic}`,
    };
  }
  const word = topic.slice(topic.lastIndexOf('/') + 1);
  if (!isQuantity(word)) {
    const known = Object.entries(QUANTITY_RULES)
      .filter(([, rule]) => rule.subject === subject.kind)
      .map(([name]) => name);
    return {
      kind: 'misspelt',
      reason: `"${word}" is no quantity of ${subject.kind} topics; known are ${known.join(', ')}`,
    };
  }
  const belongsTo = QUANTITY_RULES[word].subject;
  if (belongsTo !== subject.kind) {
    return { kind: 'misspelt', reason: `${word} belongs to ${WORDS[belongsTo]}${word}` };
  }
  return { kind: 'probe', subject, quantity: word };
}

function readSubject(levels: readonly string[]): Subject | null {
  const [first, second] = levels;
  if (levels.length === 1 && first === 'site') return { kind: 'site' };
  if (levels.length === 1 && first !== undefined && isKegId(first)) return { kind: 'keg', id: first };
  if (levels.length !== 2 || second === undefined || !ID.test(second)) return null;
  if (first === 'place') return { kind: 'place', id: second };
  if (first === 'gas') return { kind: 'supply', id: second };
  return null;
}

/** The written form of a subject, as it stands in topics: `one`, `place/fridge`, `gas/gas`, `site`. */
export function subjectPath(subject: Subject): string {
  if (subject.kind === 'site') return 'site';
  if (subject.kind === 'keg') return subject.id;
  return `${subject.kind === 'supply' ? 'gas' : 'place'}/${subject.id}`;
}

/** Reads the written form of a subject; null if it is none. */
export function parseSubjectPath(path: string): Subject | null {
  return readSubject(path.split('/'));
}

/** The id of the probe behind a default topic. Ids contain no dots, so it is unambiguous. */
export function defaultProbeId(subject: Subject, quantity: Quantity): string {
  return `${subjectPath(subject).replace('/', '.')}.${quantity}`;
}

/** The topic on which a probe of this subject and quantity is expected. */
export function defaultTopic(subject: Subject, quantity: Quantity): string {
  return `${PREFIX}${subjectPath(subject)}/${quantity}`;
}

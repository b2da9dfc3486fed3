import type { Probe } from '../../../src/contract/catalogue.ts';
import type { ProbeEntry } from '../../store/actions.ts';
import type { Guess } from './guess.ts';

export type Quantity = Probe['quantity'];
type Unit = NonNullable<Probe['unit']>;

/** The form as chosen; an empty text is a question that is still open. */
export interface TopicFields {
  readonly quantity: Quantity | '';
  readonly of: string;
  readonly unit: Unit;
  readonly pointer: string;
  readonly reference: 'gauge' | 'absolute';
  readonly place: 'thermowell' | 'wall' | 'air' | '';
}

/** What a probe that measures the same already is to become. */
export type Besides = { readonly kind: 'as-well' } | { readonly kind: 'instead'; readonly of: Probe };

/** The form as it opens: what the topic itself says is filled in, all else is asked. */
export function emptyTopic(guess: Guess, pointer: string): TopicFields {
  const { quantity, of } = guess;
  return { ...ofQuantity(quantity), of, pointer, place: '' };
}

/** The usual unit and reference of a quantity. */
export const ofQuantity = (quantity: Quantity | ''): Pick<TopicFields, 'quantity' | 'unit' | 'reference'> => ({
  quantity,
  unit: (quantity === '' ? undefined : unitsFor(quantity)[0]) ?? 'Cel',
  reference: quantity === 'ambient-pressure' ? 'absolute' : 'gauge',
});

/** Units a quantity may come in, its usual one first. */
export function unitsFor(quantity: Quantity): readonly Unit[] {
  if (isTemperature(quantity)) return ['Cel', '[degF]', 'K'];
  if (isPressure(quantity)) return ['kPa', 'bar', 'mbar', '[psi]', 'Pa'];
  if (quantity === 'room-co2') return ['[ppm]'];
  if (quantity === 'beer-flow') return ['L', 'mL'];
  return ['kg', 'g', '[lb_av]'];
}

export const isTemperature = (quantity: Quantity): boolean => quantity.endsWith('-temperature');
export const isPressure = (quantity: Quantity): boolean => quantity.endsWith('-pressure');

export type SubjectKind = 'keg' | 'place' | 'gas' | 'site';

/** What kind of thing a quantity belongs to. */
export function subjectKind(quantity: Quantity): SubjectKind {
  switch (quantity) {
    case 'beer-temperature':
    case 'headspace-pressure':
    case 'keg-mass':
    case 'beer-flow':
      return 'keg';
    case 'air-temperature':
    case 'bottle-temperature':
    case 'room-co2':
      return 'place';
    case 'regulator-pressure':
    case 'purge-pressure':
    case 'cylinder-pressure':
    case 'cylinder-mass':
      return 'gas';
    case 'ambient-pressure':
      return 'site';
  }
}

export type TopicEntry =
  | { readonly ok: true; readonly probeId: string; readonly entry: ProbeEntry }
  | { readonly ok: false; readonly detail: string };

/**
 * The probe's id and setting for a topic; or a sentence that says what is missing. A probe that stands in for another
 * takes its id over, and the other's calibration ends with it; any other gets an id that nobody has.
 */
export function readTopic(
  topic: string,
  fields: TopicFields,
  besides: Besides,
  probes: readonly Probe[],
  nowMs: number,
): TopicEntry {
  const { quantity, of, place } = fields;
  const refuse = (detail: string): TopicEntry => ({ ok: false, detail });
  if (topic === '') return refuse('Give the topic, such as garage/shelf-7/temp.');
  if (quantity === '') return refuse('Say what this probe measures.');
  if (of === '') return refuse('Say where this probe belongs.');
  if (isTemperature(quantity) && place === '') return refuse('Say where the thermometer sits.');
  const pointer = fields.pointer.trim() === '' ? null : fields.pointer.trim();
  const replaced = besides.kind === 'instead' ? besides.of : null;
  const calibration =
    replaced === null || replaced.calibration.length === 0
      ? []
      : [...replaced.calibration.slice(-99), { from: new Date(nowMs).toISOString(), offset: 0, gain: 1 }];
  return {
    ok: true,
    probeId: replaced?.probeId ?? freeId(topic, pointer, of, quantity, probes),
    entry: {
      topic,
      pointer,
      unit: fields.unit,
      quantity,
      of,
      reference: isPressure(quantity) ? fields.reference : null,
      place: isTemperature(quantity) && place !== '' ? place : null,
      ...(calibration.length === 0 ? {} : { calibration }),
    },
  };
}

/** Probes that tell the same quantity of the same thing by another value, and were heard or placed. */
export function rivals(
  topic: string,
  fields: Pick<TopicFields, 'quantity' | 'of' | 'pointer'>,
  probes: readonly Probe[],
): Probe[] {
  const pointer = fields.pointer.trim() === '' ? null : fields.pointer.trim();
  return probes.filter(
    (probe) =>
      probe.quantity === fields.quantity &&
      probe.of === fields.of &&
      (probe.topic !== topic || probe.pointer !== pointer),
  );
}

/** The id of the usual topic, or the first free number behind it. A value that is placed already keeps its id. */
function freeId(
  topic: string,
  pointer: string | null,
  of: string,
  quantity: Quantity,
  probes: readonly Probe[],
): string {
  const first = `${of.replace('/', '.')}.${quantity}`;
  const same = probes.find(
    (probe) => probe.topic === topic && probe.pointer === pointer && probe.of === of && probe.quantity === quantity,
  );
  if (same !== undefined) return same.probeId;
  const taken = new Set(probes.map((probe) => probe.probeId));
  if (!taken.has(first)) return first;
  let number = 2;
  while (taken.has(`${first}.${number}`)) number += 1;
  return `${first}.${number}`;
}

const MOST_POINTERS = 30;

/**
 * Pointers to the numbers of a JSON payload, with the number each shows (RFC 6901). Empty if the payload is a bare
 * number, or was cut off before it made sense.
 */
export function numbersIn(sample: string): { readonly pointer: string; readonly value: number }[] {
  let parsed: unknown;
  try {
    parsed = JSON.parse(sample);
  } catch {
    return [];
  }
  if (typeof parsed !== 'object' || parsed === null) return [];
  const found: { pointer: string; value: number }[] = [];
  const visit = (value: unknown, pointer: string): void => {
    if (found.length >= MOST_POINTERS) return;
    const number = typeof value === 'number' ? value : numericText(value);
    if (number !== null) found.push({ pointer, value: number });
    else if (typeof value === 'object' && value !== null) {
      for (const [key, inner] of Object.entries(value)) {
        visit(inner, `${pointer}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`);
      }
    }
  };
  visit(parsed, '');
  return found;
}

/** Some devices put their numbers into text. */
const numericText = (value: unknown): number | null =>
  typeof value === 'string' && /^-?\d+(\.\d+)?$/.test(value.trim()) ? Number(value) : null;

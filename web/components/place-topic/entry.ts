import type { Probe } from '../../../src/contract/catalogue.ts';
import type { ProbeEntry } from '../../store/actions.ts';

export type Quantity = Probe['quantity'];
type Unit = NonNullable<Probe['unit']>;

export interface TopicFields {
  readonly quantity: Quantity;
  readonly of: string;
  readonly unit: Unit;
  readonly pointer: string;
  readonly reference: 'gauge' | 'absolute';
  readonly place: 'thermowell' | 'wall' | 'air';
}

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

/** What kinds of thing a quantity can belong to. */
export function subjectKind(quantity: Quantity): 'keg' | 'place' | 'gas' | 'site' {
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

/**
 * The probe's id and setting for a topic. Ids of probes placed by hand read like those of the usual topics; where such a
 * probe is there already (`taken`), the new one stands beside it under a number of its own.
 */
export function readTopic(
  topic: string,
  fields: TopicFields,
  taken: ReadonlySet<string>,
): { readonly probeId: string; readonly entry: ProbeEntry } {
  return {
    probeId: freeId(usualId(fields), taken),
    entry: {
      topic,
      pointer: fields.pointer.trim() === '' ? null : fields.pointer.trim(),
      unit: fields.unit,
      quantity: fields.quantity,
      of: fields.of,
      reference: isPressure(fields.quantity) ? fields.reference : null,
      place: isTemperature(fields.quantity) ? fields.place : null,
    },
  };
}

/** The id of the probe that is usually there for this quantity. */
export function usualId({ of, quantity }: Pick<TopicFields, 'of' | 'quantity'>): string {
  return `${of.replace('/', '.')}.${quantity}`;
}

function freeId(wanted: string, taken: ReadonlySet<string>): string {
  let id = wanted;
  for (let number = 2; taken.has(id); number += 1) id = `${wanted}.${number}`;
  return id;
}

/** What a topic seems to measure and of what, from its levels; an empty `of` where nothing fits. */
export function guessFrom(topic: string, kegIds: readonly string[]): Pick<TopicFields, 'quantity' | 'of'> {
  const levels = topic.toLowerCase().split('/');
  const quantity = levels.some((level) => /press|psi|bar/.test(level)) ? 'headspace-pressure' : 'beer-temperature';
  return { quantity, of: kegIds.find((id) => levels.includes(id)) ?? '' };
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

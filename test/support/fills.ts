import type { Fill, FilledBottle } from '../../src/domain/fill/fill.ts';
import { MINUTE, NOON } from './builders.ts';

export function aFill(change: Partial<Fill> = {}): Fill {
  return {
    fillId: 'f1',
    kegId: 'one',
    startedAtMs: NOON,
    endedAtMs: null,
    planned: [],
    line: null,
    lostL: 0,
    remark: null,
    tasteAfterDays: 21,
    ...change,
  };
}

/** A UUID that is told from others by its number. */
export const uuid = (number: number): string => `00000000-0000-4000-8000-${String(number).padStart(12, '0')}`;

export function aBottle(number: number, change: Partial<FilledBottle> = {}): FilledBottle {
  return {
    bottleId: uuid(number),
    number,
    sizeL: 0.5,
    note: 'clean',
    remark: null,
    filledAtMs: NOON + number * MINUTE,
    conditions: null,
    destination: 'kept',
    destinationText: null,
    tasting: null,
    ...change,
  };
}

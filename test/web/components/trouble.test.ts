import { expect, test } from 'vitest';
import { EventEntry } from '../../../src/contract/event.ts';
import { wrongAt } from '../../../web/components/form/trouble.tsx';

/** What the schema of the service itself says of a value that is too large or too small. */
function refusal(entry: object): { pointer: string; detail: string }[] {
  const read = EventEntry.safeParse(entry);
  return read.success
    ? []
    : read.error.issues.map(({ path, message }) => ({ pointer: `/${path.join('/')}`, detail: message }));
}
const AT = '2026-03-01T12:00:00Z';
const told = (errors: { pointer: string; detail: string }[]) => ({ detail: 'not of the expected form', errors });

test('a limit is said plainly, and in the unit of the field', () => {
  const high = told(refusal({ kind: 'regulator-set', at: AT, kpaGauge: 9000 }));
  expect(wrongAt(high, '/kpaGauge')).toBe('Must be at most 2000');
  expect(wrongAt(high, '/kpaGauge', (kpa) => `${kpa / 100} bar`)).toBe('Must be at most 20 bar');
  const low = told(refusal({ kind: 'fridge-set', at: AT, celsius: -40 }));
  expect(wrongAt(low, '/celsius', (celsius) => `${celsius * 1.8 + 32} °F`)).toBe('Must be at least 14 °F');
});

test('a field without trouble says nothing', () => {
  expect(wrongAt(told(refusal({ kind: 'regulator-set', at: AT, kpaGauge: 9000 })), '/at')).toBeUndefined();
  expect(wrongAt(null, '/at')).toBeUndefined();
});

import { expect, test } from 'vitest';
import { BatchStart, EventEntry } from '../../../src/contract/event.ts';
import { ProbeSetting } from '../../../src/contract/index.ts';
import { emptyBatch, readBatch } from '../../../web/components/batch-form/entry.ts';
import { DID, ENTERED_KINDS, eventDetail, readEvent } from '../../../web/components/event-log/entry.ts';
import { isWrongNumber, numberFrom } from '../../../web/components/form/field.tsx';
import { guessFrom, numbersIn, readTopic, subjectKind, unitsFor } from '../../../web/components/place-topic/entry.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

/** What the forms send is checked against the very schemas the service validates with. */
const AT = '2026-03-01T12:00:00.000Z';
const ZONE = 'Europe/Vienna';
const AMERICAN = { temperature: '[degF]', pressure: '[psi]', carbonation: 'g/L', volume: '[gal_us]' } as const;
const DEFAULTS = {
  nowMs: Date.parse(AT),
  zone: ZONE,
  units: DEFAULT_UNITS,
  capacityL: 19,
  beerC: 4.25,
  target: { low: 2, high: 2.5, celsius: 2 },
};
const WINDOW = { windowFrom: '2,3', windowTo: '2.6', fillAt: '2' };
const SUBJECTS = { placeId: 'fridge', supplyId: 'gas' };

test.each([
  ['4.5', 4.5],
  ['4,5', 4.5],
  [' −1 ', -1],
  ['.5', 0.5],
  ['', null],
  ['4.5 °C', null],
  ['1e3', null],
  ['1,000.5', null],
])('the field "%s" holds %s', (text, number) => {
  expect(numberFrom(text)).toBe(number);
});

test('an empty field is not wrong, a word is', () => {
  expect(isWrongNumber(' ')).toBe(false);
  expect(isWrongNumber('lots')).toBe(true);
});

test('a batch with a name alone is taken by the service', () => {
  const read = readBatch({ ...emptyBatch(DEFAULTS), name: ' Wet Tuesday ' }, DEFAULT_UNITS, ZONE);
  if (!read.ok) throw new Error(read.detail);
  const batch = BatchStart.parse(read.batch);
  expect(batch).toMatchObject({ name: 'Wet Tuesday', at: AT, totalLitres: 19, beerState: 'flat' });
  const events = read.further.map((event) => EventEntry.parse(event));
  expect(events.map((event) => event.kind)).toEqual(['target-set', 'gas-opened']);
  expect(events[0]).toMatchObject({ volumes: 2.25, tolerance: 0.25, celsius: 2 });
});

test('American units come out as the service keeps them', () => {
  const fields = {
    ...emptyBatch({ ...DEFAULTS, units: AMERICAN }),
    name: 'Porter',
    total: '5',
    temperature: '41',
    purges: '0',
    windowFrom: '4.5',
    windowTo: '5.1',
    fillAt: '35.6',
  };
  const read = readBatch(fields, AMERICAN, ZONE);
  if (!read.ok) throw new Error(read.detail);
  expect(read.batch.totalLitres).toBeCloseTo(18.927, 3);
  expect(read.batch.beerCelsius).toBeCloseTo(5, 9);
  const [target, purged] = read.further.map((event) => EventEntry.parse(event));
  // 4.8 g/L in the middle, at 1.977 g/L a volume.
  expect(target?.kind === 'target-set' && target.volumes).toBeCloseTo(4.8 / 1.977, 2);
  expect(purged).toMatchObject({ kind: 'headspace-purged', times: 0 });
});

test.each([
  [{ name: '' }, /name/],
  [{ name: 'A', abv: 'lots' }, /numbers/],
  [{ name: 'A', windowFrom: '2.5', windowTo: '2.6' }, /too narrow/],
  [{ name: 'A', windowFrom: '2.6', windowTo: '2.3' }, /too narrow/],
  [{ name: 'A', windowFrom: '' }, /two ends/],
  [{ name: 'A', at: '' }, /when/],
])('a batch entered as %o is refused in words', (change, words) => {
  const read = readBatch({ ...emptyBatch(DEFAULTS), ...change }, DEFAULT_UNITS, ZONE);
  expect(read.ok ? '' : read.detail).toMatch(words);
});

test('the narrowest window the service takes is taken', () => {
  const read = readBatch(
    { ...emptyBatch(DEFAULTS), name: 'A', windowFrom: '2.3', windowTo: '2.5' },
    DEFAULT_UNITS,
    ZONE,
  );
  if (!read.ok) throw new Error(read.detail);
  for (const event of read.further) EventEntry.parse(event);
});

test.each(ENTERED_KINDS)('"%s" is entered as the service takes it, and shown again', (kind) => {
  const fields = { amount: kind === 'fridge-set' ? '35' : '0,6', text: 'The door stood open', ...WINDOW };
  for (const units of [DEFAULT_UNITS, AMERICAN]) {
    const window = units === AMERICAN ? { windowFrom: '4.5', windowTo: '5.1', fillAt: '35.6' } : WINDOW;
    const read = readEvent(kind, { ...fields, ...window }, AT, units, SUBJECTS);
    if (!read.ok) throw new Error(read.detail);
    const event = EventEntry.parse(read.event);
    expect(event.kind).toBe(kind);
    const kept = { ...event, eventId: 'e', enteredAt: AT, kegId: 'left' };
    expect(eventDetail(kept, units)).not.toMatch(/NaN|undefined|null/);
  }
  expect(DID[kind]).not.toBe('');
});

test('an event that needs a number is refused without one', () => {
  const read = readEvent('beer-drawn', { amount: '', text: '', ...WINDOW }, AT, DEFAULT_UNITS, SUBJECTS);
  expect(read.ok).toBe(false);
  expect(readEvent('note', { amount: '', text: ' ', ...WINDOW }, AT, DEFAULT_UNITS, SUBJECTS).ok).toBe(false);
});

/** RFC 6901, section 5: escapes of "/" and "~" in pointers. */
test('numbers in a JSON payload are found with their pointers', () => {
  expect(numbersIn('{"a/b":1,"m~n":"2.5","c":[{"t":-3}],"s":"x","n":null}')).toEqual([
    { pointer: '/a~1b', value: 1 },
    { pointer: '/m~0n', value: 2.5 },
    { pointer: '/c/0/t', value: -3 },
  ]);
});

test('a bare number or a payload that was cut off offers nothing to choose', () => {
  for (const sample of ['4.3', '', '{"t":4.', 'offline', 'null']) expect(numbersIn(sample)).toEqual([]);
});

test('a topic placed by hand is a probe the service takes', () => {
  const { probeId, entry } = readTopic(
    'garage/shelf-7/temp',
    {
      quantity: 'bottle-temperature',
      of: 'place/fridge',
      unit: 'Cel',
      pointer: '/t',
      reference: 'gauge',
      place: 'air',
    },
    new Set(),
  );
  expect(probeId).toBe('place.fridge.bottle-temperature');
  expect(ProbeSetting.parse(entry)).toMatchObject({ pointer: '/t', reference: null, place: 'air' });
});

test('a probe placed beside one that is there gets an id of its own', () => {
  const fields = {
    quantity: 'beer-temperature',
    of: 'left',
    unit: 'Cel',
    pointer: '',
    reference: 'gauge',
    place: 'wall',
  } as const;
  const taken = new Set(['left.beer-temperature', 'left.beer-temperature.2']);
  expect(readTopic('garage/x', fields, taken).probeId).toBe('left.beer-temperature.3');
});

test('a keg whose id is a level of the topic is guessed, and none otherwise', () => {
  expect(guessFrom('probes/two/beer-temp', ['one', 'two'])).toEqual({ of: 'two', quantity: 'beer-temperature' });
  expect(guessFrom('garage/esp/pressure', ['one', 'two'])).toEqual({ of: '', quantity: 'headspace-pressure' });
});

test('every quantity knows its units and what it belongs to', () => {
  for (const quantity of ProbeSetting.shape.quantity.options) {
    expect(unitsFor(quantity).length).toBeGreaterThan(0);
    expect(['keg', 'place', 'gas', 'site']).toContain(subjectKind(quantity));
  }
});

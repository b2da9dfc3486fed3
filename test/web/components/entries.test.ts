import { expect, test } from 'vitest';
import type { Probe } from '../../../src/contract/catalogue.ts';
import { ProbeId } from '../../../src/contract/common.ts';
import { BatchStart, EventEntry } from '../../../src/contract/event.ts';
import { ProbeSetting } from '../../../src/contract/index.ts';
import { defaultProbeFromId } from '../../../src/domain/probe.ts';
import { emptyBatch, readBatch } from '../../../web/components/batch-form/entry.ts';
import {
  byFilling,
  DID,
  ENTERED_KINDS,
  eventDetail,
  readEvent,
  sharedWith,
} from '../../../web/components/event-log/entry.ts';
import { isWrongNumber, numberFrom } from '../../../web/components/form/field.tsx';
import {
  numbersIn,
  readTopic,
  rivals,
  subjectKind,
  type TopicFields,
  unitsFor,
} from '../../../web/components/place-topic/entry.ts';
import { guessTopic } from '../../../web/components/place-topic/guess.ts';
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
  [{ name: 'A', windowFrom: '2.6', windowTo: '2.1' }, /ends of the window are swapped: .* 2\.10 to 2\.60/],
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

const FIELDS: TopicFields = {
  quantity: 'bottle-temperature',
  of: 'place/fridge',
  unit: 'Cel',
  pointer: '/t',
  reference: 'gauge',
  place: 'air',
};
const AS_WELL = { kind: 'as-well' } as const;
const NOW_MS = Date.parse(AT);
const heardProbe = (probeId: string, topic: string, more: Partial<Probe> = {}): Probe => ({
  probeId,
  topic,
  pointer: null,
  unit: null,
  quantity: 'bottle-temperature',
  of: 'place/fridge',
  reference: null,
  place: null,
  timeUnit: null,
  availability: null,
  calibration: [],
  lastHeardAt: AT,
  lastValue: 3,
  lastUnit: 'Cel',
  state: 'fresh',
  ageMs: 5000,
  usualIntervalMs: 60_000,
  device: null,
  amiss: null,
  doubted: null,
  ...more,
});

test('a topic placed by hand is a probe the service takes', () => {
  const read = readTopic('garage/shelf-7/temp', FIELDS, AS_WELL, [], NOW_MS);
  if (!read.ok) throw new Error(read.detail);
  expect(read.probeId).toBe('place.fridge.bottle-temperature');
  expect(ProbeSetting.parse(read.entry)).toMatchObject({ pointer: '/t', reference: null, place: 'air' });
});

test('a probe that comes to another gets an id of its own, which stands for no other topic', () => {
  const first = 'place.fridge.bottle-temperature';
  const probes = [heardProbe(first, 'probes/place/fridge/bottle-temperature'), heardProbe(`${first}.2`, 'shelf/2')];
  expect(rivals('shelf/3', FIELDS, probes).map((probe) => probe.probeId)).toEqual([first, `${first}.2`]);
  const read = readTopic('shelf/3', FIELDS, AS_WELL, probes, NOW_MS);
  if (!read.ok) throw new Error(read.detail);
  expect(read.probeId).toBe(`${first}.3`);
  expect(ProbeId.parse(read.probeId)).toBe(read.probeId);
  expect(defaultProbeFromId(read.probeId)).toBeNull();
});

test('a probe that takes the place of another takes its id, and not its calibration', () => {
  const before = { from: '2026-01-01T00:00:00.000Z', offset: 0.4, gain: 1 };
  const old = heardProbe('place.fridge.bottle-temperature', 'shelf/1', { calibration: [before] });
  const read = readTopic('shelf/3', FIELDS, { kind: 'instead', of: old }, [old], NOW_MS);
  if (!read.ok) throw new Error(read.detail);
  expect(read.probeId).toBe(old.probeId);
  expect(ProbeSetting.parse(read.entry).calibration).toEqual([before, { from: AT, offset: 0, gain: 1 }]);
});

test('placing the same value once more is no second probe', () => {
  const old = heardProbe('place.fridge.bottle-temperature.2', 'shelf/3', { pointer: '/t' });
  expect(rivals('shelf/3', FIELDS, [old])).toEqual([]);
  const read = readTopic('shelf/3', FIELDS, AS_WELL, [old], NOW_MS);
  expect(read.ok && read.probeId).toBe(old.probeId);
});

test.each([
  [{ quantity: '' as const }, /measures/],
  [{ of: '' }, /belongs/],
  [{ place: '' as const }, /sits/],
])('an open question (%o) is asked, not answered by us', (change, words) => {
  const read = readTopic('shelf/3', { ...FIELDS, ...change }, AS_WELL, [], NOW_MS);
  expect(read.ok ? '' : read.detail).toMatch(words);
});

test.each([
  ['probes/two/beer-temp', 'two', 'beer-temperature'],
  ['cellar/two/headspacePressure', 'two', 'headspace-pressure'],
  ['cellar/two/weight', 'two', 'keg-mass'],
  ['cellar/two/battery', 'two', ''],
  ['cellar/two/ambient-temp', 'two', ''],
  ['cellar/one/two/temp', '', ''],
  ['cellar/two-old/temp', '', ''],
  ['garage/shelf-7/temp', '', ''],
  ['garage/fridge/temp', 'place/fridge', 'air-temperature'],
  ['garage/gas/cylinder_weight', 'gas/gas', 'cylinder-mass'],
  ['', '', ''],
])('of the topic %s only what its levels say is guessed', (topic, of, quantity) => {
  const known = { kegs: ['one', 'two'], places: ['place/fridge'], supplies: ['gas/gas'] };
  expect(guessTopic(topic, known)).toEqual({ of, quantity });
});

test('every quantity knows its units and what it belongs to', () => {
  for (const quantity of ProbeSetting.shape.quantity.options) {
    expect(unitsFor(quantity).length).toBeGreaterThan(0);
    expect(['keg', 'place', 'gas', 'site']).toContain(subjectKind(quantity));
  }
});

test('events of a whole fridge or gas supply say so, those of one keg do not', () => {
  const names = { placeId: 'fridge', placeName: 'Garage fridge', supplyId: 'gas', supplyName: 'Shared cylinder' };
  expect(sharedWith({ place: 'fridge' }, names)).toEqual({ name: 'Garage fridge', how: 'in' });
  expect(sharedWith({ supply: 'gas' }, names)).toEqual({ name: 'Shared cylinder', how: 'on' });
  // The keg was moved since: the name of the other fridge is not known here, its id is.
  expect(sharedWith({ place: 'cellar' }, names)?.name).toBe('cellar');
  expect(sharedWith({}, names)).toBeNull();
});

test('what was done before the beer came in stands apart', () => {
  const event = (eventId: string, at: string) => ({ eventId, kind: 'note' as const, at, enteredAt: at, kegId: 'left' });
  const events = [
    event('old', '2026-02-01T00:00:00Z'),
    event('fill', '2026-03-01T00:00:00Z'),
    event('new', '2026-03-02T00:00:00Z'),
  ];
  const { newest, before } = byFilling(events, Date.parse('2026-03-01T00:00:00Z'));
  expect(newest.map((one) => one.eventId)).toEqual(['new', 'fill']);
  expect(before.map((one) => one.eventId)).toEqual(['old']);
  expect(byFilling(events, null).newest).toHaveLength(3);
});

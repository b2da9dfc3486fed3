import { describe, expect, test } from 'vitest';
import { defaultProbeFromId } from '../../src/domain/probe.ts';
import { QUANTITY_RULES, type Quantity } from '../../src/domain/quantity.ts';
import {
  defaultProbeId,
  defaultTopic,
  isKegId,
  parseSubjectPath,
  readTopic,
  subjectPath,
} from '../../src/domain/topic.ts';
import { subjectOf } from '../support/builders.ts';

const quantities = Object.keys(QUANTITY_RULES) as Quantity[];
const LONGEST_ID = 'a'.repeat(63);

describe('ids of kegs', () => {
  test.each(['one', '1', '0-9', 'a-', 'keg-of-the-year', LONGEST_ID, 'places', 'gas2'])('%s is one', (id) => {
    expect(isKegId(id)).toBe(true);
  });

  test.each(['', '-a', 'One', 'ä', 'a_b', 'a.b', 'a b', 'a/b', 'a\n', `${LONGEST_ID}a`, 'place', 'gas', 'site'])(
    '%j is none',
    (id) => {
      expect(isKegId(id)).toBe(false);
    },
  );
});

describe('default topics', () => {
  test.each(quantities)('of %s are read as what they are written for', (quantity) => {
    const subject = subjectOf(quantity);
    expect(readTopic(defaultTopic(subject, quantity))).toEqual({ kind: 'probe', subject, quantity });
  });

  test.each(quantities)('and the probe id of %s stand for each other', (quantity) => {
    const subject = subjectOf(quantity);
    const probe = defaultProbeFromId(defaultProbeId(subject, quantity));
    expect(probe).toMatchObject({ subject, quantity, topic: defaultTopic(subject, quantity) });
  });

  test.each([
    ['probes/one/beer-temperature', { kind: 'keg', id: 'one' }],
    ['probes/place/cold-room/air-temperature', { kind: 'place', id: 'cold-room' }],
    ['probes/gas/bulk/cylinder-mass', { kind: 'supply', id: 'bulk' }],
    ['probes/site/ambient-pressure', { kind: 'site' }],
  ])('%s', (topic, subject) => {
    expect(readTopic(topic)).toMatchObject({ kind: 'probe', subject });
  });

  test.each(['', 'probes', 'other/one/beer-temperature', 'Probes/one/beer-temperature', '/probes/one/keg-mass'])(
    '%j is not meant for us',
    (topic) => {
      expect(readTopic(topic)).toEqual({ kind: 'other' });
    },
  );

  test.each([
    ['probes/', /expected probes/],
    ['probes/one', /expected probes/],
    ['probes/place/beer-temperature', /expected probes/],
    ['probes/gas/beer-temperature', /expected probes/],
    ['probes/ONE/beer-temperature', /expected probes/],
    ['probes//beer-temperature', /expected probes/],
    ['probes/place/fridge/left/air-temperature', /expected probes/],
    ['probes/place/Fridge/air-temperature', /expected probes/],
    ['probes/site/roof/ambient-pressure', /expected probes/],
    ['probes/shelf/fridge/air-temperature', /expected probes/],
    ['probes/one/temperature', /"temperature" is no quantity of keg topics; known are beer-temperature/],
    ['probes/one/', /"" is no quantity/],
    ['probes/one/constructor', /"constructor" is no quantity/],
    ['probes/one/__proto__', /"__proto__" is no quantity/],
    ['probes/site/altitude', /known are ambient-pressure/],
  ])('%s says what is wrong with it', (topic, reason) => {
    const meaning = readTopic(topic);
    expect(meaning.kind).toBe('misspelt');
    expect(meaning).toHaveProperty('reason', expect.stringMatching(reason));
  });

  test.each([
    ['probes/one/air-temperature', 'probes/place/<placeId>/air-temperature'],
    ['probes/one/regulator-pressure', 'probes/gas/<supplyId>/regulator-pressure'],
    ['probes/one/ambient-pressure', 'probes/site/ambient-pressure'],
    ['probes/place/fridge/beer-temperature', 'probes/<kegId>/beer-temperature'],
    ['probes/gas/gas/keg-mass', 'probes/<kegId>/keg-mass'],
  ])('%s says where its quantity belongs', (topic, right) => {
    expect(readTopic(topic)).toHaveProperty('reason', expect.stringContaining(right));
  });
});

describe('written subjects', () => {
  test.each(['one', 'place/fridge', 'gas/gas', 'site'])('%s is read and written alike', (path) => {
    const subject = parseSubjectPath(path);
    expect(subject).not.toBeNull();
    if (subject !== null) expect(subjectPath(subject)).toBe(path);
  });

  test.each(['', 'place', 'gas', 'place/', 'shelf/one', 'a/b/c'])('%j is none', (path) => {
    expect(parseSubjectPath(path)).toBeNull();
  });

  test.each(['one', 'one.two.three.four', 'place.fridge.beer-temperature', 'one.beer-temperature.'])(
    '%j is no id of a default probe',
    (probeId) => {
      expect(defaultProbeFromId(probeId)).toBeNull();
    },
  );
});

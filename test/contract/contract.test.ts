/** Aim: what crosses the process boundary says the same as what is inside. */
import { describe, expect, test } from 'vitest';
import { RULES } from '../../src/alerts/rules.ts';
import {
  CheckName,
  EVENT_KINDS,
  EventEntry,
  Id,
  Instant,
  KegId,
  LIVE_PROTOCOL,
  ProbeId,
  ProbeSetting,
  QUANTITIES,
  RuleName,
  SERVICE_TOPIC,
  UNITS,
} from '../../src/contract/index.ts';
import { QUANTITY_RULES, type Quantity } from '../../src/domain/quantity.ts';
import { defaultProbeId, isKegId, parseSubjectPath, subjectPath } from '../../src/domain/topic.ts';
import { judge } from '../../src/domain/verdict/judge.ts';
import { dimensionOf } from '../../src/physics/units.ts';
import { aBasis, iso, NOON, subjectOf } from '../support/builders.ts';

const accepts = (schema: { safeParse(value: unknown): { success: boolean } }, value: unknown) =>
  schema.safeParse(value).success;

describe('words', () => {
  test('quantities are those of the domain', () => {
    expect([...QUANTITIES].toSorted()).toEqual(Object.keys(QUANTITY_RULES).toSorted());
  });

  test('every unit is known, and every quantity’s default unit is accepted', () => {
    for (const unit of UNITS) expect(dimensionOf(unit)).not.toBeNull();
    for (const { unit } of Object.values(QUANTITY_RULES)) expect(UNITS).toContain(unit);
  });

  test('rules and checks are those that exist', () => {
    expect(Object.keys(RULES).every((name) => accepts(RuleName, name))).toBe(true);
    for (const { name } of judge(aBasis()).checks) expect(accepts(CheckName, name)).toBe(true);
  });

  test('what pages and probes rely on does not change by accident', () => {
    expect(LIVE_PROTOCOL).toBe(1);
    expect(SERVICE_TOPIC).toBe('quietkeg/service');
    expect(EVENT_KINDS).toHaveLength(24);
  });
});

describe('ids', () => {
  test.each(['one', '1', 'a-', 'a'.repeat(63), 'places'])('%s is one of a keg', (id) => {
    expect([accepts(KegId, id), isKegId(id)]).toEqual([true, true]);
  });

  test.each(['', '-a', 'One', 'ä', 'a_b', 'a.b', 'a/b', 'a\n', 'a'.repeat(64), 'place', 'gas', 'site'])(
    '%j is none of a keg, here and inside',
    (id) => {
      expect([accepts(KegId, id), isKegId(id)]).toEqual([false, false]);
    },
  );

  test('place, gas and site are fine for anything else', () => {
    for (const id of ['place', 'gas', 'site']) expect(accepts(Id, id)).toBe(true);
  });

  test.each(QUANTITIES)('those of default probes of %s are ids of probes', (quantity: Quantity) => {
    expect(accepts(ProbeId, defaultProbeId(subjectOf(quantity, 'a'.repeat(63)), quantity))).toBe(true);
  });

  test.each(['one', 'place/fridge', 'gas/gas', 'site'])('%s can be measured', (of) => {
    const setting = ProbeSetting.parse({ topic: 'x', quantity: 'beer-temperature', of });
    const subject = parseSubjectPath(setting.of);
    expect(subject === null ? null : subjectPath(subject)).toBe(of);
  });

  test.each(['', 'place/', 'shelf/one', 'a/b/c', '/one', 'ONE'])('%j cannot be measured', (of) => {
    expect(accepts(ProbeSetting, { topic: 'x', quantity: 'beer-temperature', of })).toBe(false);
  });
});

describe('times', () => {
  // RFC 3339, section 5.6 and 5.8: examples and what they leave out (written down from memory).
  test.each([
    '1985-04-12T23:20:50.52Z',
    '1996-12-19T16:39:57-08:00',
    '1937-01-01T12:00:27.87+00:20',
    '2026-06-01T12:00:00Z',
    '2024-02-29T00:00:00Z',
  ])('%s', (text) => {
    expect(accepts(Instant, text)).toBe(true);
    expect(Date.parse(text)).not.toBeNaN();
  });

  test.each([
    '2026-06-01',
    '2026-06-01T12:00:00',
    '2026-06-01 12:00:00Z',
    '2026-6-1T12:00:00Z',
    '2025-02-29T00:00:00Z',
    '2026-13-01T00:00:00Z',
    '2026-06-01T25:00:00Z',
    '1780315200',
    'now',
    '',
  ])('%j is none', (text) => {
    expect(accepts(Instant, text)).toBe(false);
  });
});

describe('entries', () => {
  test('fill in what is usual', () => {
    expect(EventEntry.parse({ kind: 'keg-filled', at: iso(NOON), totalLitres: 19, beerLitres: 18 })).toMatchObject({
      beerState: 'unknown',
      probe: 'wall',
    });
  });

  test.each(['fridge-set', 'regulator-set', 'cylinder-changed'])('%s may be of a place or a gas supply', (kind) => {
    const fields = kind === 'fridge-set' ? { celsius: 2 } : kind === 'regulator-set' ? { kpaGauge: 70 } : {};
    expect(accepts(EventEntry, { kind, at: iso(NOON), ...fields, place: 'fridge' })).toBe(true);
    expect(accepts(EventEntry, { kind, at: iso(NOON), ...fields, supply: 'gas' })).toBe(true);
    expect(accepts(EventEntry, { kind, at: iso(NOON), ...fields, place: 'Fridge' })).toBe(false);
  });
});

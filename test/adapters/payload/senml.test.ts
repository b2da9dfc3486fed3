import { describe, expect, test } from 'vitest';
import { jsonPayloadDecoder } from '../../../src/adapters/payload/json-payload-decoder.ts';
import { readSenmlPack } from '../../../src/adapters/payload/senml.ts';

type Row = readonly [string | null, number, string | null, number | string | null];

/** name, value, unit, time: an instant in ms, a text such as "-5000 ms", or null for now. */
function rows(pack: readonly unknown[]): readonly Row[] | string {
  const outcome = readSenmlPack(pack);
  if (!outcome.ok) return outcome.reason;
  return outcome.samples.map(({ name, value, unit, time }) => {
    const at =
      time === null
        ? null
        : time.kind === 'instant'
          ? time.atMs
          : time.kind === 'relative'
            ? `${time.offsetMs} ms`
            : time.value;
    return [name, value, unit, at] as const;
  });
}

/** Written down from memory of the RFC's text; names and numbers are its own. */
describe('examples of RFC 8428', () => {
  test('section 5.1.1: a single data point', () => {
    expect(rows([{ n: 'urn:dev:ow:10e2073a01080063', u: 'Cel', v: 23.1 }])).toEqual([
      ['urn:dev:ow:10e2073a01080063', 23.1, 'Cel', null],
    ]);
  });

  test('section 5.1.2: several data points, the unit of the record before the base unit', () => {
    const pack = [
      { bn: 'urn:dev:ow:10e2073a01080063:', n: 'voltage', u: 'V', v: 120.1 },
      { n: 'current', u: 'A', v: 1.2 },
    ];
    expect(rows(pack)).toEqual([
      ['urn:dev:ow:10e2073a01080063:voltage', 120.1, 'V', null],
      ['urn:dev:ow:10e2073a01080063:current', 1.2, 'A', null],
    ]);
  });

  test('section 5.1.2: times before a base time, and a base unit', () => {
    const pack = [
      { bn: 'urn:dev:ow:10e2073a0108006:', bt: 1.276020076001e9, bu: 'A', bver: 5, n: 'voltage', u: 'V', v: 120.1 },
      { n: 'current', t: -5, v: 1.2 },
      { n: 'current', t: -4, v: 1.3 },
      { n: 'current', t: -3, v: 1.4 },
      { n: 'current', t: -2, v: 1.5 },
      { n: 'current', t: -1, v: 1.6 },
      { n: 'current', v: 1.7 },
    ];
    const base = 1_276_020_076_001;
    const current = 'urn:dev:ow:10e2073a0108006:current';
    expect(rows(pack)).toEqual([
      ['urn:dev:ow:10e2073a0108006:voltage', 120.1, 'V', base],
      [current, 1.2, 'A', base - 5000],
      [current, 1.3, 'A', base - 4000],
      [current, 1.4, 'A', base - 3000],
      [current, 1.5, 'A', base - 2000],
      [current, 1.6, 'A', base - 1000],
      [current, 1.7, 'A', base],
    ]);
  });

  test('section 5.1.3: several measurements of one sensor, with times after a base time', () => {
    const pack = [
      { bn: 'urn:dev:ow:10e2073a01080063', bt: 1.320067464e9, bu: '%RH', v: 20 },
      { t: 10, v: 20.3 },
      { t: 20, u: 'Cel', v: 23.1 },
    ];
    const name = 'urn:dev:ow:10e2073a01080063';
    expect(rows(pack)).toEqual([
      [name, 20, '%RH', 1_320_067_464_000],
      [name, 20.3, '%RH', 1_320_067_474_000],
      [name, 23.1, 'Cel', 1_320_067_484_000],
    ]);
  });

  test('section 5.1.4: the resolved form is read the same', () => {
    const pack = [
      { n: 'urn:dev:ow:10e2073a01080063', u: '%RH', t: 1.320067464e9, v: 20 },
      { n: 'urn:dev:ow:10e2073a01080063', u: '%RH', t: 1.320067474e9, v: 20.3 },
    ];
    expect(rows(pack)).toEqual([
      ['urn:dev:ow:10e2073a01080063', 20, '%RH', 1_320_067_464_000],
      ['urn:dev:ow:10e2073a01080063', 20.3, '%RH', 1_320_067_474_000],
    ]);
  });

  test('section 5.1.5: values that are no numbers are passed over', () => {
    const pack = [
      { bn: 'urn:dev:ow:10e2073a01080063:', n: 'temp', u: 'Cel', v: 23.1 },
      { n: 'label', vs: 'Machine Room' },
      { n: 'open', vb: false },
      { n: 'nfv-reader', vd: 'aGkgCg' },
    ];
    expect(rows(pack)).toEqual([['urn:dev:ow:10e2073a01080063:temp', 23.1, 'Cel', null]]);
  });
});

describe('base fields', () => {
  test('a base value is added', () => {
    expect(rows([{ bv: 20, v: 1 }, { v: -2 }, { bv: 5, v: 1 }])).toEqual([
      [null, 21, null, null],
      [null, 18, null, null],
      [null, 6, null, null],
    ]);
  });

  test('hold for the records behind, one that brings no value included', () => {
    expect(
      rows([
        { bn: 'a/', bu: 'Cel' },
        { n: 't', v: 4 },
      ]),
    ).toEqual([['a/t', 4, 'Cel', null]]);
  });

  // RFC 8428, section 4.5.3: less than 2**28 s is relative to now.
  test('times below 2**28 s count from now', () => {
    expect(
      rows([
        { v: 1, t: -5 },
        { v: 2, t: 2.5 },
      ]),
    ).toEqual([
      [null, 1, null, '-5000 ms'],
      [null, 2, null, '2500 ms'],
    ]);
    expect(rows([{ v: 1, t: 2 ** 28 - 1 }])).toEqual([[null, 1, null, `${(2 ** 28 - 1) * 1000} ms`]]);
    expect(rows([{ v: 1, t: 2 ** 28 }])).toEqual([[null, 1, null, 2 ** 28 * 1000]]);
    expect(rows([{ bt: -10, v: 1, t: 4 }])).toEqual([[null, 1, null, '-6000 ms']]);
  });

  // RFC 8428, section 12.1 and RFC 8798, section 3: some of SenML's unit names are not UCUM's.
  test.each([
    ['l', 'L'],
    ['hPa', 'mbar'],
    ['ppm', '[ppm]'],
    ['Cel', 'Cel'],
    ['K', 'K'],
    ['Pa', 'Pa'],
    ['kg', 'kg'],
  ])('unit %s is %s', (senml, ucum) => {
    expect(rows([{ u: senml, v: 1 }])).toEqual([[null, 1, ucum, null]]);
  });
});

describe('packs that are refused', () => {
  test.each<[readonly unknown[], RegExp]>([
    [[], /pack is empty/],
    [[4.1], /SenML record 0/],
    [[null], /SenML record 0/],
    [[{ v: '4' }], /SenML record 0/],
    [[{ v: 1 }, { v: Number.POSITIVE_INFINITY }], /SenML record 1/],
    [[{ v: 1, t: 'now' }], /SenML record 0/],
    [[{ n: 'door', vb: true }], /no numeric value/],
    [[{ s: 12 }], /no numeric value/],
    [[{ v: 1, foo_: 1 }], /demands that foo_ is understood/],
    [[{ v: 1, bver: 11 }], /version 11 is not known/],
    [Array.from({ length: 501 }, () => ({ v: 1 })), /has 501 records; at most 500/],
  ])('%#', (pack, reason) => {
    expect(rows(pack)).toMatch(reason);
  });

  test('unknown fields that need not be understood are ignored', () => {
    expect(rows([{ v: 1, ut: 60, foo: 'bar' }])).toEqual([[null, 1, null, null]]);
  });

  test('sums that are beyond any number are refused later, as no value of a probe', () => {
    expect(rows([{ bv: 1e308, v: 1e308 }])).toEqual([[null, Number.POSITIVE_INFINITY, null, null]]);
  });
});

test('a pack comes in as any other payload', () => {
  const payload = Buffer.from('[{"n":"one","u":"Cel","v":4.1}]');
  expect(jsonPayloadDecoder.decode(payload, null)).toEqual({
    ok: true,
    samples: [{ value: 4.1, unit: 'Cel', time: null, name: 'one' }],
  });
});

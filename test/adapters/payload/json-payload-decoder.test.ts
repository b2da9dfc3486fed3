import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { jsonPayloadDecoder } from '../../../src/adapters/payload/json-payload-decoder.ts';
import type { DecodeOutcome } from '../../../src/ports/payload-decoder.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const decode = (text: string, pointer: string | null = null): DecodeOutcome =>
  jsonPayloadDecoder.decode(bytes(text), pointer);
const reasonOf = (outcome: DecodeOutcome): string =>
  outcome.ok ? `accepted: ${JSON.stringify(outcome)}` : outcome.reason;
const one = (value: number, unit: string | null = null, time: object | null = null): DecodeOutcome => {
  return { ok: true, samples: [{ value, unit, time: time as never, name: null }] };
};

describe('a bare number', () => {
  // Accepted and refused forms: RFC 8259, section 6.
  test.each([
    ['0', 0],
    ['-0', -0],
    ['4.1', 4.1],
    ['-1.5', -1.5],
    ['1e3', 1000],
    ['1E+3', 1000],
    ['1.25e-2', 0.0125],
    ['0.0', 0],
    ['123456789012', 123456789012],
  ])('%j is %d', (text, value) => {
    expect(decode(text)).toEqual(one(value));
  });

  test.each([
    '',
    ' ',
    '\t\n',
    '\0',
    '+1',
    '.5',
    '1.',
    '01',
    '-',
    '1,5',
    '1 2',
    '0x10',
    '0b1',
    '1_000',
    '1n',
    'NaN',
    'Infinity',
    '-Infinity',
    'nan',
    'null',
    'true',
    '""',
    '"4.1"',
    'ON',
    '4.1 °C',
    '4.1C',
    '４',
    '\ufeff4.1x',
  ])('%j is none', (text) => {
    expect(decode(text).ok).toBe(false);
  });

  test('an empty payload clears a retained message: it is no 0 °C', () => {
    expect(reasonOf(decode(''))).toMatch(/clears a retained message/);
  });

  test('a number too large for a computer is told as such', () => {
    expect(reasonOf(decode('1e999'))).toBe('the number is too large');
    expect(reasonOf(decode('-1e999'))).toBe('the number is too large');
  });

  test('what is none is told how to be one', () => {
    expect(reasonOf(decode('4,1'))).toMatch(/expected a number such as 4\.1, an object such as/);
  });
});

describe('an object', () => {
  test.each([
    ['{"value":4.1}', one(4.1)],
    ['{"value":4.1,"unit":"Cel"}', one(4.1, 'Cel')],
    [' {"value" : -2 } ', one(-2)],
    ['{"value":4.1,"battery":3.2,"nested":{"a":[1,2]}}', one(4.1)],
    [
      '{"value":4.1,"time":"2026-06-01T12:00:00Z"}',
      one(4.1, null, { kind: 'instant', atMs: Date.UTC(2026, 5, 1, 12) }),
    ],
    [
      '{"value":4.1,"time":"2026-06-01T14:00:00.25+02:00"}',
      one(4.1, null, { kind: 'instant', atMs: Date.UTC(2026, 5, 1, 12) + 250 }),
    ],
    ['{"value":4.1,"time":1780315200}', one(4.1, null, { kind: 'number', value: 1780315200 })],
  ])('%s', (text, outcome) => {
    expect(decode(text)).toEqual(outcome);
  });

  test.each([
    ['{}', /value/],
    ['{"value":null}', /value/],
    ['{"value":"4.1"}', /value/],
    ['{"value":[4.1]}', /value/],
    ['{"value":{"value":4}}', /value/],
    ['{"value":1e999}', /value/],
    ['{"value":4.1,"unit":""}', /unit/],
    ['{"value":4.1,"unit":7}', /unit/],
    ['{"value":4.1,"unit":"a unit longer than any unit"}', /unit/],
    ['{"value":4.1,"time":"yesterday"}', /is not RFC 3339/],
    ['{"value":4.1,"time":"2026-06-01T12:00:00"}', /is not RFC 3339/],
    ['{"value":4.1,"time":"2026-02-30T12:00:00Z"}', /is not RFC 3339/],
    ['{"value":4.1,"time":null}', /time/],
    ['{"value":4.1,"time":{}}', /time/],
    ['{"value":4.1', /expected a number/],
    ['{value:4.1}', /expected a number/],
    ["{'value':4.1}", /expected a number/],
    ['"text"', /expected \{"value"/],
  ])('%s is refused, and the place is named', (text, reason) => {
    expect(reasonOf(decode(text))).toMatch(reason);
  });

  test('the answer to a long wrong time stays short', () => {
    expect(reasonOf(decode(`{"value":1,"time":"${'x'.repeat(9000)}"}`)).length).toBeLessThan(120);
  });
});

describe('hostile payloads', () => {
  test('__proto__ is refused, or does nothing where it hides', () => {
    expect(reasonOf(decode('{"value":4,"__proto__":{"unit":"K"}}'))).toMatch(/__proto__/);
    expect(decode('{"value":4,"\\u005f_proto__":{"unit":"K"}}')).toEqual(one(4));
    expect(decode('{"value":4,"constructor":{"prototype":{"unit":"K"}}}')).toEqual(one(4));
    expect(({} as Record<string, unknown>).unit).toBeUndefined();
  });

  test('64 kB are too many', () => {
    expect(reasonOf(decode('1'.repeat(65_536)))).toBe('the payload has 65536 bytes; at most 16384 are read');
    expect(reasonOf(decode(`{"value":1,"pad":"${'x'.repeat(65_536)}"}`))).toMatch(/at most 16384/);
  });

  test('as many bytes as allowed are read', () => {
    const pad = 16_384 - '{"value":1,"p":""}'.length;
    expect(decode(`{"value":1,"p":"${'x'.repeat(pad)}"}`)).toEqual(one(1));
    expect(decode(`{"value":1,"p":"${'x'.repeat(pad + 1)}"}`).ok).toBe(false);
  });

  test('deep nesting does not exhaust the stack', () => {
    expect(decode('['.repeat(8000) + ']'.repeat(8000)).ok).toBe(false);
    expect(decode(`${'{"a":'.repeat(2500)}1${'}'.repeat(2500)}`).ok).toBe(false);
    expect(decode('['.repeat(8000) + ']'.repeat(8000), `${'/0'.repeat(8000)}`).ok).toBe(false);
  });

  test.each([
    ['binary', [0x00, 0x01, 0xff, 0xfe]],
    ['a float of four bytes', [0x40, 0x83, 0x33, 0x33]],
    ['a stray continuation byte', [0x34, 0x80]],
    ['an overlong slash', [0xc0, 0xaf]],
    ['a surrogate half', [0xed, 0xa0, 0x80]],
    ['half a character', [0xe2, 0x82]],
  ])('%s is refused', (_what, raw) => {
    expect(jsonPayloadDecoder.decode(Uint8Array.from(raw), null).ok).toBe(false);
  });

  test('invalid UTF-8 is named', () => {
    expect(reasonOf(jsonPayloadDecoder.decode(Uint8Array.from([0xff]), null))).toBe('the payload is not UTF-8 text');
  });
});

describe('a value under a pointer', () => {
  const board = '{"sensors":[{"t":4.1,"p":"0.7"},{"value":5,"unit":"K"}],"n":null,"s":"warm","b":true,"a/b":6,"":7}';

  test.each([
    ['/sensors/0/t', one(4.1)],
    ['/sensors/0/p', one(0.7)],
    ['/sensors/1', one(5, 'K')],
    ['/sensors/1/value', one(5)],
    ['/a~1b', one(6)],
    ['/', one(7)],
  ])('%s', (pointer, outcome) => {
    expect(decode(board, pointer)).toEqual(outcome);
  });

  test.each([
    ['/sensors/2/t', /there is nothing under \/sensors\/2\/t/],
    ['/sensors/-1', /nothing under/],
    ['/sensors/00/t', /nothing under/],
    ['/sensors/length', /nothing under/],
    ['/__proto__', /nothing under/],
    ['/constructor/name', /nothing under/],
    ['/n', /there is no number/],
    ['/s', /there is no number/],
    ['/b', /there is no number/],
    ['/sensors', /there is no number/],
    ['/sensors/0', /value/],
  ])('%s: %s', (pointer, reason) => {
    expect(reasonOf(decode(board, pointer))).toMatch(reason);
  });

  test('the whole payload is what the empty pointer means', () => {
    expect(decode('4.1', '')).toEqual(one(4.1));
    expect(decode('"4.1"', '')).toEqual(one(4.1));
    expect(reasonOf(decode('null', ''))).toMatch(/under the whole payload there is no number/);
  });

  test('texts are numbers only as JSON writes them', () => {
    for (const text of ['0x10', ' 1', '', '1e999', 'NaN']) {
      expect(decode(JSON.stringify({ v: text }), '/v').ok).toBe(false);
    }
  });
});

describe('anything at all', () => {
  const pointers = fc.option(fc.constantFrom('', '/a', '/0', '/value', '/a/0/b', '/~01', '/__proto__/x'));

  test('bytes are decoded or refused with a reason, never thrown at', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), pointers, (payload, pointer) => {
        const outcome = jsonPayloadDecoder.decode(payload, pointer);
        if (!outcome.ok) expect(outcome.reason).not.toBe('');
      }),
      { numRuns: 1000 },
    );
  });

  test('JSON is decoded to finite numbers or refused', () => {
    const keys = fc.constantFrom('value', 'unit', 'time', 'v', 'u', 't', 'bn', 'bt', 'bv', 'bu', 'bver', 'n', 's', 'a');
    const json = fc.letrec((tie) => ({
      value: fc.oneof(
        { depthSize: 'small' },
        fc.double(),
        fc.string(),
        fc.constant(null),
        fc.boolean(),
        fc.dictionary(keys, tie('value')),
        fc.array(tie('value'), { maxLength: 4 }),
      ),
    })).value;
    fc.assert(
      fc.property(json, pointers, (value, pointer) => {
        const outcome = decode(JSON.stringify(value), pointer);
        if (outcome.ok) expect(outcome.samples.length).toBeGreaterThan(0);
        else expect(outcome.reason).not.toBe('');
      }),
      { numRuns: 2000 },
    );
  });

  test('every finite number comes back as it was', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        const written = JSON.stringify(value);
        expect(decode(written)).toEqual(one(JSON.parse(written)));
        expect(decode(`{"value":${written}}`)).toEqual(one(JSON.parse(written)));
      }),
    );
  });
});

/** Aim: a message says what, where, how much, since when and what to do, whole in 178 characters, in the hearer's words. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Matter, Turn } from '../../../src/domain/delivery/matter.ts';
import { cutAtWord, oneLine } from '../../../src/domain/delivery/one-line.ts';
import { ENGLISH } from '../../../src/domain/delivery/phrases.ts';
import { figure, type Hearer, messageWords, TEXT_LENGTH_MAX } from '../../../src/domain/delivery/words.ts';
import { temperatureWords } from '../../../src/domain/words.ts';

const METRIC = { temperature: 'Cel', pressure: 'bar', carbonation: 'volumes' } as const;
const US = { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes' } as const;
const minute = (ms: number) => `14:${String(ms / 60_000).padStart(2, '0')}`;
const hearer: Hearer = { units: METRIC, writtenIn: METRIC, timeWords: minute, link: null, phrases: ENGLISH };

const MATTER: Matter = {
  id: 'a',
  ownedBy: 'desk',
  kegId: 'one',
  level: 'attention',
  message: 'Harvest Amber is warm: 6.1\u00a0°C.',
  advice: 'Close the door. Keep it under 4.0\u00a0°C.',
  measured: 6.1,
  limit: 4,
  unit: 'Cel',
  beganAtMs: 120_000,
  endedAtMs: null,
  acknowledgedAtMs: null,
  mutedUntilMs: null,
  version: 0,
};

function say(turn: Turn, change: Partial<Matter> = {}, hears: Partial<Hearer> = {}, begin = MATTER) {
  const latest = { ...MATTER, ...change };
  return messageWords([{ part: { matterId: 'a', turn, version: 0 }, story: { begin, latest } }], {
    ...hearer,
    ...hears,
  });
}

describe('one matter', () => {
  test('is told with its limit, its time and what to do', () => {
    const { subject, text, details } = say('begin');
    expect(subject).toBe('Harvest Amber is warm: 6.1\u00a0°C.');
    expect(text).toBe(
      'Harvest Amber is warm: 6.1\u00a0°C. Limit 4.0\u00a0°C. Since 14:02. Close the door. Keep it under 4.0\u00a0°C.',
    );
    expect(details.split('\n')).toEqual([
      'Harvest Amber is warm: 6.1\u00a0°C.',
      'Measured 6.1\u00a0°C.',
      'Limit 4.0\u00a0°C.',
      'Since 14:02.',
      'What to do: Close the door. Keep it under 4.0\u00a0°C.',
    ]);
  });

  test('says the measured value where its own words do not', () => {
    expect(say('begin', { message: 'It is warm.' }).text).toContain('Measured 6.1\u00a0°C.');
    expect(say('begin', { measured: null, limit: null, message: 'It is warm.', advice: '' })).toEqual({
      subject: 'It is warm.',
      text: 'It is warm. Since 14:02.',
      details: 'It is warm.\nSince 14:02.',
    });
  });

  test('is told in the hearer’s units, each figure once and none twice', () => {
    const { text } = say('begin', {}, { units: US });
    expect(text).toBe(
      'Harvest Amber is warm: 43.0\u00a0°F. Limit 39.2\u00a0°F. Since 14:02. Close the door. Keep it under 39.2\u00a0°F.',
    );
  });

  test('keeps figures that are no measured value or limit, differences above all', () => {
    const change = {
      message: 'At 6.1\u00a0°C, rising 6.1\u00a0°C an hour, 16.1\u00a0°C outside, −6.1\u00a0°C frozen.',
    };
    expect(say('begin', change, { units: US }).text).toContain(
      'At 43.0\u00a0°F, rising 6.1\u00a0°C an hour, 16.1\u00a0°C outside, −6.1\u00a0°C frozen.',
    );
  });

  test('that presses says so, and a change is told like a begin', () => {
    expect(say('begin', { level: 'urgent' }).subject).toBe('Now: Harvest Amber is warm: 6.1\u00a0°C.');
    expect(say('change').text).toContain('Since 14:02.');
  });

  test('that is over says how long it lasted', () => {
    const over = { message: 'Harvest Amber is cold again: 3.0\u00a0°C.', measured: 3, endedAtMs: 540_000, advice: '' };
    expect(say('end', over).text).toBe('Over: Harvest Amber is cold again: 3.0\u00a0°C. From 14:02 to 14:09.');
    expect(say('both', over).text).toBe('Over already: Harvest Amber is warm: 6.1\u00a0°C. From 14:02 to 14:09.');
  });

  test('has the link where there is space, and always among the details', () => {
    const link = 'http://keg.example:8420/kegs/one';
    expect(say('begin', {}, { link }).text).toMatch(/4\.0\u00a0°C\. http:\/\/keg\.example:8420\/kegs\/one$/);
    const long = say(
      'begin',
      {
        advice:
          'Close the door, look at the thermostat, then listen for the compressor and call somebody who knows it.',
      },
      { link },
    );
    expect(long.text).not.toContain(link);
    expect(long.details).toContain(link);
  });

  test('with very long words of its own is told as far as they go', () => {
    const { text } = say('begin', { message: 'Amber is warm and '.repeat(20) });
    expect(text).toMatch(/^Amber is warm and .*(Amber|is|warm|and)…$/);
    expect(text.length).toBeLessThanOrEqual(TEXT_LENGTH_MAX);
  });

  test('cannot break out of its line, whatever a keg is called', () => {
    const { subject, text } = say('begin', { message: 'Amber\r\nBcc: x@y.example\u2028\u202e is warm.' });
    expect(`${subject}${text}`).not.toMatch(/[\r\n\u2028\u202e]/);
  });
});

describe('several at once', () => {
  const many = (count: number, message: string) =>
    Array.from({ length: count }, (_, index) => {
      const matter = { ...MATTER, message: `${message} ${index}.`, advice: '' };
      return {
        part: { matterId: `${index}`, turn: 'begin', version: 0 } as const,
        story: { begin: matter, latest: matter },
      };
    });

  test('are counted, and told as far as there is space', () => {
    expect(messageWords(many(2, 'Leak'), { ...hearer, link: 'http://k.example' }).text).toBe(
      '2 things: Leak 0. Leak 1. http://k.example',
    );
    const { text, details, subject } = messageWords(many(30, 'The cylinder is low'), hearer);
    expect(text).toMatch(/^30 things: The cylinder is low 0\. .* and 2\d more\.$/);
    expect(text.length).toBeLessThanOrEqual(TEXT_LENGTH_MAX);
    expect(subject.length).toBeLessThanOrEqual(100);
    expect(details.split('\n\n')).toHaveLength(30);
  });

  test('leave the link out before they leave a matter out', () => {
    const link = `http://${'k'.repeat(140)}.example`;
    expect(messageWords(many(2, 'Leak'), { ...hearer, link }).text).toBe('2 things: Leak 0. Leak 1.');
  });

  test('are told even if the first alone is too long', () => {
    const { text } = messageWords(many(3, 'very '.repeat(60)), hearer);
    expect(text).toMatch(/^3 things: very .*… and 2 more\.$/);
    expect(text.length).toBeLessThanOrEqual(TEXT_LENGTH_MAX);
  });
});

test('every text is one line of at most 178 characters, and keeps the beginning of what happened', () => {
  const turn = fc.constantFrom<Turn>('begin', 'end', 'both', 'change');
  const matter = fc.record({
    message: fc.string({ minLength: 1, maxLength: 400, unit: 'grapheme' }),
    advice: fc.string({ maxLength: 400 }),
    measured: fc.option(fc.double({ noNaN: true, min: -50, max: 5000 })),
    limit: fc.option(fc.double({ noNaN: true, min: -50, max: 5000 })),
    unit: fc.constantFrom('Cel', 'kPa', 'volumes', 's', '[ppm]', 'kg', null),
    endedAtMs: fc.option(fc.constant(540_000)),
  });
  fc.assert(
    fc.property(fc.array(fc.record({ turn, matter }), { minLength: 1, maxLength: 8 }), fc.boolean(), (told, isUs) => {
      const parts = told.map(({ turn: what, matter: change }, index) => {
        const latest = { ...MATTER, ...change };
        return { part: { matterId: `${index}`, turn: what, version: 0 }, story: { begin: latest, latest } };
      });
      const { text, subject } = messageWords(parts, {
        ...hearer,
        units: isUs ? US : METRIC,
        link: 'http://keg.example',
      });
      expect(text.length).toBeLessThanOrEqual(TEXT_LENGTH_MAX);
      expect(subject.length).toBeLessThanOrEqual(100);
      expect(text).not.toMatch(/[\p{Cc}\p{Zl}\p{Zp}]|[\uD800-\uDBFF](?![\uDC00-\uDFFF])/u);
    }),
    { numRuns: 500 },
  );
});

test('a converted figure is the one that would have been written in that unit', () => {
  fc.assert(
    fc.property(fc.double({ min: -5, max: 40, noNaN: true }), (value) => {
      const message = `Beer at ${temperatureWords(value, METRIC)} in the garage.`;
      const { subject } = say('begin', { message, measured: value, limit: null }, { units: US });
      expect(subject).toBe(`Beer at ${temperatureWords(value, US)} in the garage.`);
    }),
  );
});

test('figures have the unit that people say', () => {
  expect(['Cel', 'kPa', 'volumes', 's', '[ppm]', 'kg', null].map((unit) => figure(90, unit, US))).toEqual([
    '194.0\u00a0°F',
    '13.1\u00a0psi',
    '90.00\u00a0volumes',
    '2 min',
    '90\u00a0ppm',
    '90\u00a0kg',
    '90',
  ]);
  expect(figure(null, 'Cel', US)).toBeNull();
});

test('a text is cut between words, or within one that is longer than all', () => {
  expect(cutAtWord('short', 10)).toBe('short');
  expect(cutAtWord('one two three', 8)).toBe('one two');
  expect(cutAtWord('one two three', 7)).toBe('one two');
  expect(cutAtWord('a'.repeat(20), 10)).toBe('a'.repeat(10));
  expect(cutAtWord(`on ${'a'.repeat(20)}`, 10)).toBe('on aaaaaaa');
  expect(cutAtWord(`${'a'.repeat(9)}\u{1F37A}${'b'.repeat(9)}`, 10)).toBe('a'.repeat(9));
  expect(oneLine('a\u0000b\n c   d')).toBe('a b c d');
  expect(oneLine('word '.repeat(300))).toMatch(/word…$/);
});

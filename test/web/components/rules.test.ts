/** Aim: every rule that ships has its words and its fields; what is typed in the reader's units comes to the service as it is meant. */
import { describe, expect, test } from 'vitest';
import { RULE_NAMES } from '../../../src/alerts/rule.ts';
import { RULES } from '../../../src/alerts/rules.ts';
import { RuleChange } from '../../../src/contract/alert.ts';
import { fieldsOf, readRule, typedFields, usualFields, wrongOf } from '../../../web/components/rule-row/entry.ts';
import {
  CALMER_TRIAL,
  CREEP_RULE,
  FRIDGE_RULE,
  NOTHING_TRIAL,
  NOW_TRIAL,
  ROOM_RULE,
} from '../../../web/components/rule-row/sample-rules.ts';
import { spanSentence, trialRows, trialSentence } from '../../../web/components/rule-row/trial-words.ts';
import { GROUPS, WATCHES } from '../../../web/components/rule-row/words.ts';
import { DEFAULT_UNITS } from '../../../web/format/numbers.ts';

const AMERICAN = { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' } as const;
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

test('every rule stands in one group, and says what it watches', () => {
  expect(GROUPS.flatMap(({ rules }) => rules).sort()).toEqual([...RULE_NAMES].sort());
  expect(Object.keys(WATCHES).sort()).toEqual([...RULE_NAMES].sort());
});

test('every unit of a shipped limit has words: no code reaches the reader', () => {
  for (const rule of Object.values(RULES)) {
    const limits = Object.entries(rule.limits).map(([name, limit]) => ({ name, value: limit.usual, ...limit }));
    for (const { hint, label } of fieldsOf({ ...FRIDGE_RULE, limits }, DEFAULT_UNITS))
      expect(`${label} ${hint}`).not.toMatch(/[[\]]|\bK\b|kg\/d/);
  }
});

describe('numbers', () => {
  test('untouched are left out, so that the service keeps what it has', () => {
    const fields = fieldsOf(CREEP_RULE, AMERICAN);
    expect(readRule(fields, typedFields(fields, AMERICAN), false, AMERICAN)).toEqual({ enabled: false });
  });

  test('are differences and pressures in the reader’s units', () => {
    const creep = fieldsOf(CREEP_RULE, AMERICAN);
    // 3 psi is 20.684 kPa. @source NIST SP 811, appendix B: 6.894757 kPa
    const entry = readRule(creep, { ...typedFields(creep, AMERICAN), '/limits/aboveKpa': '3' }, true, AMERICAN);
    expect(entry?.limits?.aboveKpa).toBeCloseTo(20.684, 3);
    const warm = fieldsOf(FRIDGE_RULE, AMERICAN);
    expect(warm[0]?.hint && plain(warm[0].hint)).toBe('Usual: 4.5 °F; from 1.8 °F to 27.0 °F');
    const typed = { ...typedFields(warm, AMERICAN), '/limits/airAboveC': '9', '/onDelayS': '45' };
    expect(readRule(warm, typed, true, AMERICAN)).toEqual({ enabled: true, limits: { airAboveC: 5 }, onDelayS: 2700 });
    expect(RuleChange.safeParse(readRule(warm, typed, true, AMERICAN)).success).toBe(true);
  });

  test('what is usual comes back as it is, and what is no number is refused', () => {
    const fields = fieldsOf(CREEP_RULE, AMERICAN);
    expect(readRule(fields, usualFields(fields, AMERICAN), true, AMERICAN)?.limits).toEqual({ aboveKpa: 10 });
    expect(readRule(fields, { ...typedFields(fields, AMERICAN), '/onDelayS': 'soon' }, true, AMERICAN)).toBeNull();
    expect(readRule(fields, { ...typedFields(fields, AMERICAN), '/onDelayS': '' }, true, AMERICAN)).toBeNull();
  });

  test('that are refused say so at the field, in its unit', () => {
    const [first] = fieldsOf(FRIDGE_RULE, AMERICAN);
    if (first === undefined) throw new Error('no field');
    const detail = 'must lie between 1 and 15 (K)';
    const wrong = wrongOf({ detail: '', errors: [{ pointer: '/limits/airAboveC', detail }] }, first, AMERICAN);
    expect(plain(wrong ?? '')).toBe('Must lie between 1.8 °F and 27.0 °F');
  });

  test('what is urgent says that it cannot be held back for long', () => {
    expect(fieldsOf(ROOM_RULE, DEFAULT_UNITS).map(({ hint }) => plain(hint))).toContain(
      'Usual: 0 min; at most 10 min, as it is urgent',
    );
  });
});

describe('a trial', () => {
  const subject = () => 'Garage fridge';
  test('compares what is with what is proposed', () => {
    expect(trialSentence(NOW_TRIAL, CALMER_TRIAL)).toBe(
      'With these settings it would have sent 2 messages; as it is now, 8 messages.',
    );
    expect(trialRows(NOW_TRIAL, CALMER_TRIAL, subject)).toEqual([{ subject: 'Garage fridge', now: 8, proposed: 2 }]);
  });

  test('counts an alert that goes on as one message', () => {
    const open = { ...CALMER_TRIAL, episodes: CALMER_TRIAL.episodes.map((one) => ({ ...one, endedAt: null })) };
    expect(trialRows(null, open, subject)).toEqual([{ subject: 'Garage fridge', now: 0, proposed: 1 }]);
  });

  test('of what is off, or is to be, says so', () => {
    expect(trialSentence(NOW_TRIAL, null)).toBe(
      'Switched off, it would have sent no message. As it is now, 8 messages.',
    );
    expect(trialSentence(null, CALMER_TRIAL)).toMatch(/would have sent 2 messages. It is switched off now.$/);
  });

  test('says how far back it could look', () => {
    expect(spanSentence(NOW_TRIAL)).toBe('');
    expect(plain(spanSentence(NOTHING_TRIAL))).toBe('Only the last 2 days are kept that it could look at.');
    expect(spanSentence({ ...NOTHING_TRIAL, from: NOTHING_TRIAL.to })).toMatch(/^Nothing is kept yet/);
  });
});

import { h } from 'preact';
import type { Rule } from '../../../src/contract/alert.ts';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { RuleRow } from './rule-row.tsx';
import { CALMER_TRIAL, CREEP_RULE, FRIDGE_RULE, NOTHING_TRIAL, NOW_TRIAL, ROOM_RULE } from './sample-rules.ts';
import { TrialResult } from './trial.tsx';

const subject = () => 'Garage fridge';
const shown = (...rules: readonly Rule[]) =>
  h(
    'ul',
    { class: 'rows' },
    rules.map((rule) =>
      h(RuleRow, {
        key: rule.rule,
        rule,
        units: DEFAULT_UNITS,
        subject,
        onTry: () => Promise.resolve({ ok: true, body: CALMER_TRIAL } as const),
        onKeep: () => Promise.resolve(null),
      }),
    ),
  );

export const examples: readonly Example[] = [
  { name: 'on, off and changed, urgent', render: () => shown(FRIDGE_RULE, CREEP_RULE, ROOM_RULE) },
  { name: 'a trial', render: () => h(TrialResult, { now: NOW_TRIAL, proposed: CALMER_TRIAL, subject }) },
  { name: 'a trial of switching it off', render: () => h(TrialResult, { now: NOW_TRIAL, proposed: null, subject }) },
  { name: 'a trial of what is off', render: () => h(TrialResult, { now: null, proposed: NOTHING_TRIAL, subject }) },
];

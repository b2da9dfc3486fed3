import { h } from 'preact';
import { DEFAULT_UNITS } from '../../format/numbers.ts';
import type { Example } from '../example.ts';
import { firstFields } from './entry.ts';
import { KeptPlans } from './kept-plans.tsx';
import { Needs, PlanCautions, SetPoints } from './needs.tsx';
import { PlanForm } from './plan-form.tsx';
import { GOOD_PLAN, GRAVE_PLAN, KEPT_PLANS, REFUSED_PLAN, SAMPLE_NOW_MS } from './sample-plan.ts';
import { Slack } from './slack.tsx';
import { Timetable } from './timetable.tsx';

const ZONE = 'Europe/Vienna';
const here = { nowMs: SAMPLE_NOW_MS, zone: ZONE };
const US = { temperature: '[degF]', pressure: '[psi]', carbonation: 'volumes', volume: '[gal_us]' } as const;
const form = (detail: string | null, busy = false) =>
  h(PlanForm, {
    fields: firstFields(SAMPLE_NOW_MS, ZONE),
    trouble: detail === null ? null : { detail, errors: [] },
    busy,
    onFields: () => undefined,
    onAsk: () => undefined,
  });
const kept = (plans: typeof KEPT_PLANS) =>
  h(KeptPlans, {
    plans: { plans: [...plans], calendarPath: '/api/v1/plans.ics?key=0123456789abcdef' },
    ...here,
    origin: 'http://garage.example:8420',
    onShow: () => undefined,
    onCancel: () => Promise.resolve(null),
    onRenew: () => Promise.resolve(null),
  });

export const examples: readonly Example[] = [
  { name: 'form', render: () => form(null) },
  { name: 'form, busy', render: () => form(null, true) },
  { name: 'form, refused', render: () => form('Say how many bottles, as a whole number.') },
  { name: 'timetable', render: () => h(Timetable, { plan: GOOD_PLAN, ...here }) },
  { name: 'no timetable', render: () => h(Timetable, { plan: REFUSED_PLAN, ...here }) },
  { name: 'slack', render: () => h(Slack, { plan: GOOD_PLAN, ...here }) },
  { name: 'needs', render: () => h(Needs, { plan: GOOD_PLAN, units: DEFAULT_UNITS }) },
  { name: 'needs, little known', render: () => h(Needs, { plan: GRAVE_PLAN, units: US }) },
  { name: 'set-points', render: () => h(SetPoints, { plan: GOOD_PLAN, units: DEFAULT_UNITS }) },
  { name: 'set-points, unsafe', render: () => h(SetPoints, { plan: GRAVE_PLAN, units: US }) },
  { name: 'cautions', render: () => h(PlanCautions, { plan: GRAVE_PLAN }) },
  { name: 'kept plans', render: () => kept(KEPT_PLANS) },
  { name: 'no kept plans', render: () => kept([]) },
];

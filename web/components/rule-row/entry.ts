import type { Rule } from '../../../src/contract/alert.ts';
import type { Units } from '../../../src/contract/catalogue.ts';
import { DEGREES, type Measure, measured, PRESSURE, plainly, typedNumber } from '../../format/measures.ts';
import type { RuleEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { isWrongNumber, numberFrom } from '../form/field.tsx';
import { wrongAt } from '../form/trouble.tsx';

type RuleLimit = Rule['limits'][number];
const HOUR_S = 3600;
const MINUTES: Measure = {
  unit: () => 'min',
  shown: (seconds) => seconds / 60,
  kept: (minutes) => minutes * 60,
  places: () => 0,
};
const HOURS: Measure = {
  unit: () => 'h',
  shown: (seconds) => seconds / HOUR_S,
  kept: (hours) => hours * HOUR_S,
  places: () => 1,
};
const PERCENT: Measure = {
  unit: () => '%',
  shown: (share) => share * 100,
  kept: (percent) => percent / 100,
  places: () => 0,
};

/** One number of a rule that may be set. */
export interface RuleField {
  readonly pointer: string;
  readonly label: string;
  readonly hint: string;
  readonly measure: Measure;
  readonly value: number;
  readonly usual: number;
}

/** The form as typed, by pointer. */
export type RuleFields = Readonly<Record<string, string>>;

/** Every number of a rule: its limits, then how long it must hold and be over. */
export function fieldsOf(rule: Rule, units: Units): RuleField[] {
  const limits = rule.limits.map((limit) => {
    const measure = measureOf(limit);
    const range = `${measured(measure, limit.low, units)} to ${measured(measure, limit.high, units)}`;
    return {
      pointer: `/limits/${limit.name}`,
      label: labelled(limit.what, measure, units),
      hint: `Usual: ${measured(measure, limit.usual, units)}; from ${range}`,
      measure,
      value: limit.value,
      usual: limit.usual,
    };
  });
  const most = rule.level === 'urgent' ? 'at most 10\u00a0min, as it is urgent' : 'at most 7\u00a0days';
  const on = rule.usualOnDelayS >= 2 * HOUR_S ? HOURS : MINUTES;
  const off = rule.usualOffDelayS >= 2 * HOUR_S ? HOURS : MINUTES;
  return [
    ...limits,
    {
      pointer: '/onDelayS',
      label: labelled('told once it has held for', on, units),
      hint: `Usual: ${measured(on, rule.usualOnDelayS, units)}; ${most}`,
      measure: on,
      value: rule.onDelayS,
      usual: rule.usualOnDelayS,
    },
    {
      pointer: '/offDelayS',
      label: labelled('over once it has been over for', off, units),
      hint: `Usual: ${measured(off, rule.usualOffDelayS, units)}; at most 7\u00a0days`,
      measure: off,
      value: rule.offDelayS,
      usual: rule.usualOffDelayS,
    },
  ];
}

function measureOf({ unit, high }: Pick<RuleLimit, 'unit' | 'high'>): Measure {
  switch (unit) {
    case 'K':
      return DEGREES;
    case 'kPa':
      return PRESSURE;
    case '1':
      return high <= 1 ? PERCENT : plainly('', 0);
    case 'kg':
      return plainly('kg', 2);
    case 'kg/d':
      return plainly('kg a day', 2);
    case '[ppm]':
      return plainly('ppm', 0);
    default:
      return plainly(unit, 0);
  }
}

function labelled(what: string, measure: Measure, units: Units): string {
  const unit = measure.unit(units);
  return `${what.charAt(0).toUpperCase()}${what.slice(1)}${unit === '' ? '' : `, ${unit}`}`;
}

export const typedFields = (fields: readonly RuleField[], units: Units): RuleFields =>
  Object.fromEntries(fields.map(({ pointer, measure, value }) => [pointer, typedNumber(measure, value, units)]));
export const usualFields = (fields: readonly RuleField[], units: Units): RuleFields =>
  Object.fromEntries(fields.map(({ pointer, measure, usual }) => [pointer, typedNumber(measure, usual, units)]));

/** What is to be sent; null if a field holds no number. What was not touched is left out: the service keeps it. */
export function readRule(
  fields: readonly RuleField[],
  typed: RuleFields,
  enabled: boolean,
  units: Units,
): RuleEntry | null {
  const limits: Record<string, number> = {};
  const delays: { onDelayS?: number; offDelayS?: number } = {};
  for (const { pointer, measure, value, usual } of fields) {
    const text = typed[pointer] ?? '';
    const number = numberFrom(text);
    if (number === null || isWrongNumber(text)) return null;
    if (text === typedNumber(measure, value, units)) continue;
    // Shown with few digits, the usual value must come back as it is.
    const isUsual = text === typedNumber(measure, usual, units);
    const kept = isUsual ? usual : Number(measure.kept(number, units).toFixed(6));
    if (pointer === '/onDelayS') delays.onDelayS = kept;
    else if (pointer === '/offDelayS') delays.offDelayS = kept;
    else limits[pointer.slice('/limits/'.length)] = kept;
  }
  return { enabled, ...delays, ...(Object.keys(limits).length > 0 ? { limits } : {}) };
}

/** What the service said of a field, with its limits as the field shows them. */
export function wrongOf(trouble: Told | null, { pointer, measure }: RuleField, units: Units): string | undefined {
  const shown = (value: number): string => measured(measure, value, units);
  return wrongAt(trouble, pointer, shown)?.replace(
    /between (-?[\d.]+) and (-?[\d.]+) \([^)]*\)$/,
    (_, low, high) => `between ${shown(Number(low))} and ${shown(Number(high))}`,
  );
}

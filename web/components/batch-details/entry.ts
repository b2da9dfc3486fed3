import type { Batch } from '../../../src/contract/catalogue.ts';
import { digits } from '../../format/numbers.ts';
import type { BatchEntry } from '../../store/actions.ts';
import { isWrongNumber, numberFrom } from '../form/field.tsx';

/** The form as typed. */
export interface DetailFields {
  readonly name: string;
  readonly style: string;
  readonly abv: string;
  readonly extract: string;
}

export function detailFields({ name, style, abvPercent, originalExtractPlato }: Batch): DetailFields {
  const text = (value: number | null): string => (value === null ? '' : digits(value, Number.isInteger(value) ? 0 : 1));
  return { name, style: style ?? '', abv: text(abvPercent), extract: text(originalExtractPlato) };
}

/** What the form means to the service; or a sentence that says what is wrong. An empty field takes its value away. */
export function readDetails(fields: DetailFields): BatchEntry | string {
  if (isWrongNumber(fields.abv) || isWrongNumber(fields.extract)) {
    return 'One of the numbers is none. Correct the marked field.';
  }
  const name = fields.name.trim();
  if (name === '') return 'Give the beer a name: lists and alerts call it by it.';
  return {
    name,
    style: fields.style.trim() === '' ? null : fields.style.trim(),
    abvPercent: numberFrom(fields.abv),
    originalExtractPlato: numberFrom(fields.extract),
  };
}

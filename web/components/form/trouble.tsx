import { localTimes } from '../../format/times.ts';
import { listed } from '../../format/words.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { serviceNow } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';

/** Labels of a form's fields by the JSON Pointers of what they send. */
export type Labels = Readonly<Record<string, string>>;

interface Props {
  readonly trouble: Told | null;
  /** Fields that say themselves what is wrong with them (`wrongAt`). */
  readonly labels?: Labels;
}

/** What went wrong with an entry, each thing once: errors of fields stand at the fields, here only their names. */
export function Trouble({ trouble, labels = {} }: Props) {
  if (trouble === null) return null;
  const { errors, lead } = trouble;
  const marked = new Set(errors.map((error) => labels[error.pointer]).filter((label) => label !== undefined));
  const others = errors.filter((error) => labels[error.pointer] === undefined);
  const now = serviceNow.peek();
  return (
    <div class="trouble">
      {lead !== undefined && <p>{lead}</p>}
      {errors.length === 0 && <p>{localTimes(trouble.detail, now, zone.value)}</p>}
      {marked.size > 0 && <p>Look at what is marked: {listed([...marked])}.</p>}
      {others.map((error) => (
        <p key={error.pointer + error.detail}>
          {named(error.pointer)}
          {localTimes(plainLimit(error.detail, String), now, zone.value)}
        </p>
      ))}
    </div>
  );
}

const named = (pointer: string): string => (pointer === '' ? '' : `${pointer.replace(/^\//, '')}: `);

/** What the service said of one field; a limit in the field's own unit. Nothing if it said nothing. */
export function wrongAt(
  trouble: Told | null,
  pointer: string,
  shown: (value: number) => string = String,
): string | undefined {
  const said = trouble?.errors.filter((error) => error.pointer === pointer).map((error) => error.detail) ?? [];
  if (said.length === 0) return undefined;
  const text = said.map((detail) => localTimes(plainLimit(detail, shown), serviceNow.peek(), zone.value)).join('; ');
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
}

/** "must be at most 2000" with the limit as the field shows it: "must be at most 20.00 bar". */
function plainLimit(detail: string, shown: (value: number) => string): string {
  const [, words, limit] = /^(must be at (?:most|least)) (-?[\d.]+)$/.exec(detail) ?? [];
  return words === undefined || limit === undefined ? detail : `${words} ${shown(Number(limit))}`;
}

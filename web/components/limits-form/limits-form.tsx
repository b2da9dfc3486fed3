import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { BatchEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { NumberField } from '../form/field.tsx';
import { Trouble, wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import {
  BEER_LIMITS,
  DAY_LIMITS,
  LIMIT_LABELS,
  type LimitFields,
  type Limits,
  limitFields,
  limitLabel,
  limitWords,
  plainTrouble,
  pointerOf,
  readLimits,
} from './entry.ts';

interface Props {
  /** Those that were set of this batch. */
  readonly limits: Limits;
  readonly units: Units;
  readonly onChange: (entry: BatchEntry) => Promise<Told | null>;
}

/** What the checks of this beer want. An empty field means the usual limit, which stands below it. */
export function LimitsForm({ limits, units, onChange }: Props) {
  const [fields, setFields] = useState<LimitFields>(() => limitFields(limits, units));
  const entry = useEntry();
  const trouble = plainTrouble(entry.trouble);
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readLimits(fields, limits, units);
    if (read === null) entry.refuse('One of the numbers is none. Correct the marked field.');
    else void entry.send(() => onChange({ limits: read }));
  };
  const group = (of: typeof BEER_LIMITS) => (
    <div class="fields">
      {of.map((limit) => (
        <NumberField
          key={limit.name}
          label={limitLabel(limit, units)}
          value={fields[limit.name]}
          hint={`Usual: ${limitWords(limit, limit.usual, units)}`}
          wrong={wrongAt(trouble, pointerOf(limit.name), (value) => limitWords(limit, value, units))}
          onValue={(value) => setFields({ ...fields, [limit.name]: value })}
        />
      ))}
    </div>
  );
  return (
    <form onSubmit={submit}>
      <p class="note">
        They hold for this beer alone. Leave a field empty for the usual limit: those are common practice for filling
        from the keg.
      </p>
      <h3 class="sub">Of the beer</h3>
      {group(BEER_LIMITS)}
      <h3 class="sub">On fill day, where a probe tells</h3>
      {group(DAY_LIMITS)}
      <div class="doing">
        <button class="btn" type="submit" disabled={entry.busy}>
          Keep these limits
        </button>
        <button
          class="btn plain"
          type="button"
          disabled={entry.busy}
          onClick={() => {
            setFields(limitFields({}, units));
            void entry.send(() => onChange({ limits: {} }));
          }}
        >
          All as usual
        </button>
        {entry.done && <span class="note">Kept.</span>}
      </div>
      <Trouble trouble={trouble} labels={LIMIT_LABELS} />
    </form>
  );
}

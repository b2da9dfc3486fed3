import type { Trouble as Told } from '../../store/api.ts';
import { NumberField, SelectField, TimeField } from '../form/field.tsx';
import { Trouble } from '../form/trouble.tsx';
import { type PlanFields, SIZES } from './entry.ts';

interface Props {
  readonly fields: PlanFields;
  readonly trouble: Told | null;
  readonly busy: boolean;
  readonly onFields: (fields: PlanFields) => void;
  readonly onAsk: () => void;
}

/** When, and how many of which. */
export function PlanForm({ fields, trouble, busy, onFields, onAsk }: Props) {
  const set = (change: Partial<PlanFields>): void => onFields({ ...fields, ...change });
  const sizes = SIZES.some(([size]) => size === fields.size)
    ? SIZES
    : [...SIZES, [fields.size, `${fields.size} L`] as const];
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        onAsk();
      }}
    >
      <div class="fields">
        <TimeField label="First bottle at" value={fields.at} onValue={(at) => set({ at })} />
        <NumberField label="Bottles" value={fields.count} onValue={(count) => set({ count })} required />
        <SelectField label="Each" value={fields.size} onValue={(size) => set({ size })} choices={sizes} />
        <NumberField label="And of another size" value={fields.moreCount} onValue={(moreCount) => set({ moreCount })} />
        <SelectField
          label="Each of these"
          value={fields.moreSize}
          onValue={(moreSize) => set({ moreSize })}
          choices={SIZES}
        />
      </div>
      <Trouble trouble={trouble} />
      <div class="doing">
        <button class="btn main" type="submit" disabled={busy}>
          {busy ? 'Working it out' : 'Work it out'}
        </button>
      </div>
    </form>
  );
}

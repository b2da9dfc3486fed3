import { useState } from 'preact/hooks';
import type { Batch } from '../../../src/contract/catalogue.ts';
import type { BatchEntry } from '../../store/actions.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { NumberField, TextField } from '../form/field.tsx';
import { Keep } from '../form/keep.tsx';
import { wrongAt } from '../form/trouble.tsx';
import { useEntry } from '../form/use-entry.ts';
import { type DetailFields, detailFields, readDetails } from './entry.ts';

interface Props {
  readonly batch: Batch;
  readonly onChange: (entry: BatchEntry) => Promise<Told | null>;
}

const LABELS = {
  '/name': 'Name of the beer',
  '/style': 'Style',
  '/abvPercent': 'Alcohol',
  '/originalExtractPlato': 'Extract before fermenting',
} as const;

/** What the beer of a batch is called and what is known of it. */
export function BatchDetails({ batch, onChange }: Props) {
  const [fields, setFields] = useState<DetailFields>(() => detailFields(batch));
  const entry = useEntry();
  const set = (change: Partial<DetailFields>): void => setFields({ ...fields, ...change });
  const submit = (event: Event): void => {
    event.preventDefault();
    const read = readDetails(fields);
    if (typeof read === 'string') entry.refuse(read);
    else void entry.send(() => onChange(read));
  };
  return (
    <section class="part" aria-labelledby="h-beer-details">
      <header>
        <h2 id="h-beer-details">The beer itself</h2>
      </header>
      <form onSubmit={submit}>
        <div class="fields">
          <TextField
            label="Name of the beer"
            value={fields.name}
            required
            wrong={wrongAt(entry.trouble, '/name')}
            onValue={(name) => set({ name })}
          />
          <TextField
            label="Style"
            value={fields.style}
            wrong={wrongAt(entry.trouble, '/style')}
            onValue={(style) => set({ style })}
          />
          <NumberField
            label="Alcohol, % by volume"
            value={fields.abv}
            hint="Tells where it freezes"
            wrong={wrongAt(entry.trouble, '/abvPercent', (value) => `${value} %`)}
            onValue={(abv) => set({ abv })}
          />
          <NumberField
            label="Extract before fermenting, °P"
            value={fields.extract}
            wrong={wrongAt(entry.trouble, '/originalExtractPlato', (value) => `${value} °P`)}
            onValue={(extract) => set({ extract })}
          />
        </div>
        <Keep entry={entry} labels={LABELS} />
      </form>
    </section>
  );
}

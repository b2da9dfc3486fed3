import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { VerdictKind } from '../../../src/contract/state.ts';
import { volume } from '../../format/numbers.ts';
import { NumberField, SelectField } from '../form/field.tsx';
import './fill-start.css';
import { bottleSize, plannedOf, type SizeRow, USUAL_SIZES_L } from './sizes.ts';

interface Props {
  readonly kind: VerdictKind;
  readonly headline: string;
  readonly leftL: number | null;
  readonly units: Units;
  readonly planPath: string;
  readonly onStart: (planned: readonly { readonly count: number; readonly sizeL: number }[]) => void;
}

const ANYWAY: Readonly<Record<VerdictKind, string | null>> = {
  ready: null,
  wait: 'The beer is not ready. You may begin all the same: the count goes on, and every bottle keeps what the beer was like.',
  act: 'Something is to do first. You may begin all the same: every bottle keeps what the beer was like.',
  unknown: 'Whether the beer is ready cannot be told. You may begin all the same.',
};

/** How many bottles of which size, and the begin. */
export function FillStart({ kind, headline, leftL, units, planPath, onStart }: Props) {
  const [rows, setRows] = useState<readonly SizeRow[]>([{ count: '24', sizeL: USUAL_SIZES_L[0] as number }]);
  const change = (index: number, part: Partial<SizeRow>): void =>
    setRows(rows.map((row, at) => (at === index ? { ...row, ...part } : row)));
  const planned = plannedOf(rows);
  const wantedL = planned.reduce((sum, { count, sizeL }) => sum + count * sizeL, 0);
  const unused = USUAL_SIZES_L.find((sizeL) => rows.every((row) => row.sizeL !== sizeL));
  const anyway = ANYWAY[kind];
  return (
    <section class="part fill-start" aria-labelledby="h-start">
      <header>
        <h1 id="h-start">Which bottles?</h1>
        <p class="note">
          <a href={planPath}>Plan another day</a>
        </p>
      </header>
      <p class={kind === 'act' ? `slip is-${kind}` : 'say-so'}>{headline}</p>
      {rows.map((row, index) => (
        <div class="sizes" key={row.sizeL}>
          <NumberField label="Bottles" value={row.count} onValue={(count) => change(index, { count })} />
          <SelectField
            label="of"
            value={String(row.sizeL)}
            onValue={(size) => change(index, { sizeL: Number(size) })}
            choices={USUAL_SIZES_L.filter(
              (sizeL) => sizeL === row.sizeL || rows.every((other) => other.sizeL !== sizeL),
            ).map((sizeL) => [String(sizeL), bottleSize(sizeL, units)])}
          />
        </div>
      ))}
      {unused !== undefined && (
        <button class="btn plain" type="button" onClick={() => setRows([...rows, { count: '6', sizeL: unused }])}>
          Bottles of another size as well
        </button>
      )}
      {leftL !== null && wantedL > leftL && (
        <p class="slip is-act">
          {volume(leftL, units)} of beer are left: fewer than {volume(wantedL, units)}, and the line takes some
        </p>
      )}
      {anyway !== null && <p class="note">{anyway}</p>}
      <button class="btn main begin" type="button" onClick={() => onStart(planned)}>
        {planned.length === 0 ? 'Begin without a number' : 'Begin'}
      </button>
    </section>
  );
}

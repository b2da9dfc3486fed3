import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { Fill, FillChange } from '../../../src/contract/fill.ts';
import { digits, volumeFromL, volumeToL, volumeUnit } from '../../format/numbers.ts';
import type { Trouble } from '../../store/api.ts';
import { NumberField, numberFrom, TextField } from '../form/field.tsx';
import { Trouble as TroubleText } from '../form/trouble.tsx';
import './fill-details.css';

interface Props {
  readonly fill: Pick<Fill, 'lostL' | 'remark' | 'tasteAfterDays'>;
  readonly units: Units;
  readonly onChange: (entry: FillChange) => Promise<Trouble | null>;
}

/** What is said of a fill as a whole: beer that went elsewhere, a remark, when to ask for a tasting. */
export function FillDetails({ fill, units, onChange }: Props) {
  const shown = fill.lostL === 0 ? '' : digits(volumeFromL(fill.lostL, units), 2);
  const [lost, setLost] = useState(shown);
  const [remark, setRemark] = useState(fill.remark ?? '');
  const [days, setDays] = useState(fill.tasteAfterDays === null ? '' : String(fill.tasteAfterDays));
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const save = async (): Promise<void> => {
    const litres = numberFrom(lost);
    setTrouble(
      await onChange({
        // What was shown rounded must not change what is kept.
        ...(lost === shown ? {} : { lostL: litres === null ? 0 : volumeToL(litres, units) }),
        remark: remark.trim() || null,
        tasteAfterDays: numberFrom(days),
      }),
    );
  };
  return (
    <form
      class="fill-details"
      onSubmit={(event) => {
        event.preventDefault();
        void save();
      }}
    >
      <NumberField
        label={`Beer lost: line, foam, tote (${volumeUnit(units)})`}
        value={lost}
        onValue={setLost}
        hint="Taken off what is left in the keg"
      />
      <NumberField label="Ask for a tasting after (days)" value={days} onValue={setDays} hint="Empty: never" />
      <TextField label="Remark" value={remark} onValue={setRemark} wide />
      {trouble !== null && <TroubleText trouble={trouble} />}
      <div class="doing">
        <button class="btn" type="submit">
          Keep
        </button>
      </div>
    </form>
  );
}

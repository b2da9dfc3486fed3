import { useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import type { Trouble as Told } from '../../store/api.ts';
import { Trouble } from '../form/trouble.tsx';
import { useTrouble } from '../form/use-trouble.ts';
import { Values } from '../keg-row/keg-row.tsx';
import './suggestion.css';

interface Props {
  readonly keg: KegState;
  readonly units: Units;
  readonly old: boolean;
  /** Adds the keg; resolves with what went wrong, or null. */
  readonly onAdd: (kegId: string) => Promise<Told | null>;
}

/** A keg that was heard but is nobody's yet: a quiet row with one button. */
export function Suggestion({ keg, units, old, onAdd }: Props) {
  const [trouble, setTrouble] = useTrouble();
  const [busy, setBusy] = useState(false);
  const add = async (): Promise<void> => {
    setBusy(true);
    setTrouble(await onAdd(keg.kegId));
    setBusy(false);
  };
  return (
    <li class="suggestion">
      <p>
        Heard: <b>{keg.kegId}</b> <span class="soft">– not yours yet</span>
        <br />
        <span class="note">
          <Values keg={keg} units={units} old={old} />
        </span>
      </p>
      <button class="btn" type="button" disabled={busy} onClick={() => void add()}>
        Add this keg<span class="aside">: {keg.kegId}</span>
      </button>
      <Trouble trouble={trouble} />
    </li>
  );
}

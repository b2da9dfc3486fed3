import { useState } from 'preact/hooks';
import { changesTaken, type Trouble } from '../../store/api.ts';
import { connections } from '../../store/dashboard.ts';

interface Kept {
  readonly trouble: Trouble;
  readonly changesTaken: number;
  readonly connections: number;
}

/** What went wrong last; over as soon as a later change is taken, or when Quietkeg is reached again if nobody answered. */
export function useTrouble(): [trouble: Trouble | null, tell: (trouble: Trouble | null) => void] {
  const [kept, setKept] = useState<Kept | null>(null);
  const taken = changesTaken.value;
  const reached = connections.value;
  const over =
    kept === null || taken > kept.changesTaken || (kept.trouble.unreached === true && reached > kept.connections);
  return [
    over ? null : kept.trouble,
    (trouble) =>
      setKept(
        trouble === null ? null : { trouble, changesTaken: changesTaken.peek(), connections: connections.peek() },
      ),
  ];
}

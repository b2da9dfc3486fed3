import { useEffect, useMemo } from 'preact/hooks';
import type { Batch } from '../../src/contract/catalogue.ts';
import { LimitsForm } from '../components/limits-form/limits-form.tsx';
import { describeBatch } from '../store/actions.ts';
import { units } from '../store/dashboard.ts';
import { resource } from '../store/resource.ts';

/** Fetched when somebody unfolds it: limits are set once, if ever. */
export function KegLimits({ batchId }: { readonly batchId: string }) {
  const read = useMemo(() => resource<Batch>(`/batches/${encodeURIComponent(batchId)}`), [batchId]);
  useEffect(() => void read.load(), [read]);
  const batch = read.value.value;
  if (batch === null) return <p class="note">{read.trouble.value?.detail ?? 'Asking which limits were set.'}</p>;
  const shown = units.value;
  return (
    <LimitsForm
      key={`${shown.temperature}-${shown.pressure}-${shown.volume}`}
      limits={batch.limits}
      units={shown}
      onChange={async (entry) => {
        const answer = await describeBatch(batchId, entry);
        if (answer.ok) read.value.value = answer.body;
        return answer.ok ? null : answer.trouble;
      }}
    />
  );
}

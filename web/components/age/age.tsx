import { ageWords, amissWords, clockTime } from '../../format/times.ts';
import { type Ages, aged } from '../../store/ageing.ts';
import { serviceNow } from '../../store/clock.ts';
import { zone } from '../../store/dashboard.ts';
import './age.css';

/** How long ago a value was heard, ticking: bold when it is late, the clock time once it is stale. */
export function Age({ input, old = false }: { readonly input: Ages | null; readonly old?: boolean }) {
  if (input === null) return <span class="soft">never heard</span>;
  const { ageMs, atMs, state } = aged(input, serviceNow.value);
  if (input.amiss !== null && input.amiss !== undefined)
    return <span class="nums">{amissWords(input.amiss, serviceNow.value, zone.value)}</span>;
  if (old || state === 'stale')
    return <span class="nums">last at {clockTime(atMs, serviceNow.value, zone.value)}</span>;
  return <span class={`nums${state === 'late' ? ' late-age' : ''}`}>{ageWords(ageMs)}</span>;
}

/** A value as text, struck through once it is stale, soft while it is late. Never blank. */
export function Value({
  text,
  input,
  old = false,
}: {
  readonly text: string;
  readonly input: Ages | null;
  readonly old?: boolean;
}) {
  const state = input === null ? 'stale' : aged(input, serviceNow.value).state;
  if (old || state === 'stale') return <s class="nums soft">{text}</s>;
  return <span class={`nums${state === 'late' ? ' soft' : ''}`}>{text}</span>;
}

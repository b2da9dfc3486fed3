import { useId } from 'preact/hooks';

/** A password or the like: never shown, and left as it is while the field is empty. */
export function SecretField({
  label,
  value,
  kept,
  wrong,
  onValue,
}: {
  readonly label: string;
  readonly value: string;
  readonly kept: boolean;
  readonly wrong?: string | undefined;
  readonly onValue: (value: string) => void;
}) {
  const id = useId();
  return (
    <label class="field">
      {label}
      <input
        type="password"
        value={value}
        autoComplete="new-password"
        placeholder={kept ? 'kept' : ''}
        maxLength={2000}
        aria-invalid={wrong !== undefined}
        aria-describedby={id}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      <span id={id} class={wrong === undefined ? undefined : 'wrong'}>
        {wrong ?? (kept ? 'Kept, and never shown. Leave it empty to keep it.' : 'Never shown again')}
      </span>
    </label>
  );
}

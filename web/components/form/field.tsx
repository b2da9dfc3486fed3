import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';

/** Form fields as plain values: text as it was typed, so that nothing is lost while typing. */
interface Shared {
  readonly label: string;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly required?: boolean;
  readonly hint?: string;
  readonly wide?: boolean;
}

export function TextField({
  label,
  value,
  onValue,
  required = false,
  hint,
  wide = false,
  placeholder,
}: Shared & { readonly placeholder?: string }) {
  return (
    <label class={wide ? 'field wide' : 'field'}>
      {label}
      <input
        value={value}
        required={required}
        placeholder={placeholder}
        maxLength={500}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      {hint !== undefined && <span>{hint}</span>}
    </label>
  );
}

/** A wall time in the site's zone, as text. */
export function TimeField({ label, value, onValue }: Shared) {
  return (
    <label class="field">
      {label}
      <input type="datetime-local" value={value} onInput={(event) => onValue(event.currentTarget.value)} />
    </label>
  );
}

/** A number with its unit in the label; keeps what was typed and accepts a decimal comma. */
export function NumberField({ label, value, onValue, required = false, hint, wide = false }: Shared) {
  const wrong = value.trim() !== '' && numberFrom(value) === null;
  const id = useId();
  return (
    <label class={wide ? 'field wide' : 'field'}>
      {label}
      <input
        inputMode="decimal"
        value={value}
        required={required}
        aria-invalid={wrong}
        aria-describedby={wrong ? id : undefined}
        autoComplete="off"
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      {wrong ? (
        <span class="wrong" id={id}>
          Give a number, such as 4.5
        </span>
      ) : (
        hint !== undefined && <span>{hint}</span>
      )}
    </label>
  );
}

export function SelectField({
  label,
  value,
  onValue,
  choices,
  hint,
  wide = false,
}: Shared & { readonly choices: readonly (readonly [value: string, label: string])[] }) {
  return (
    <label class={wide ? 'field wide' : 'field'}>
      {label}
      <select value={value} onInput={(event) => onValue(event.currentTarget.value)}>
        {choices.map(([choice, text]) => (
          <option key={choice} value={choice} selected={choice === value}>
            {text}
          </option>
        ))}
      </select>
      {hint !== undefined && <span>{hint}</span>}
    </label>
  );
}

export function Tick({
  checked,
  onChange,
  children,
}: {
  readonly checked: boolean;
  readonly onChange: (checked: boolean) => void;
  readonly children: ComponentChildren;
}) {
  return (
    <label class="tick">
      <input type="checkbox" checked={checked} onChange={(event) => onChange(event.currentTarget.checked)} />
      <span>{children}</span>
    </label>
  );
}

/** The number in a field; null if it is empty or none. A decimal comma is a decimal point. */
export function numberFrom(text: string): number | null {
  const plain = text.trim().replace(',', '.').replace('−', '-');
  if (!/^-?\d+(\.\d*)?$|^-?\.\d+$/.test(plain)) return null;
  return Number(plain);
}

/** True if the field holds something that is no number. */
export const isWrongNumber = (text: string): boolean => text.trim() !== '' && numberFrom(text) === null;

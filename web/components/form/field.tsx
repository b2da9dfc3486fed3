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
  /** What the service said is wrong with it. */
  readonly wrong?: string | undefined;
}

/** Below the field: what is wrong with it, else its hint. */
function Below({
  id,
  wrong,
  hint,
}: {
  readonly id: string;
  readonly wrong: string | undefined;
  readonly hint?: string | undefined;
}) {
  if (wrong !== undefined) {
    return (
      <span class="wrong" id={id}>
        {wrong}
      </span>
    );
  }
  return hint === undefined ? null : <span>{hint}</span>;
}

const described = (id: string, wrong: string | undefined) => ({
  'aria-invalid': wrong !== undefined,
  'aria-describedby': wrong === undefined ? undefined : id,
});

export function TextField({
  label,
  value,
  onValue,
  required = false,
  hint,
  wide = false,
  placeholder,
  list,
  wrong,
}: Shared & { readonly placeholder?: string /** Id of a list of proposals. */; readonly list?: string }) {
  const id = useId();
  return (
    <label class={wide ? 'field wide' : 'field'}>
      {label}
      <input
        value={value}
        required={required}
        placeholder={placeholder}
        list={list}
        autoComplete={list === undefined ? undefined : 'off'}
        maxLength={500}
        {...described(id, wrong)}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      <Below id={id} wrong={wrong} hint={hint} />
    </label>
  );
}

/** Typed unseen. `autoComplete` tells password keepers what it is: the present one, or a new one. */
export function PassphraseField({
  label,
  value,
  onValue,
  hint,
  wrong,
  autoComplete,
}: Shared & { readonly autoComplete: 'current-password' | 'new-password' }) {
  const id = useId();
  return (
    <label class="field wide">
      {label}
      <input
        type="password"
        value={value}
        required
        maxLength={500}
        autoComplete={autoComplete}
        autoCapitalize="none"
        spellcheck={false}
        {...described(id, wrong)}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      <Below id={id} wrong={wrong} hint={hint} />
    </label>
  );
}

/** A wall time in the site's zone, as text. */
export function TimeField({ label, value, onValue, wrong }: Shared) {
  const id = useId();
  return (
    <label class="field">
      {label}
      <input
        type="datetime-local"
        value={value}
        {...described(id, wrong)}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      <Below id={id} wrong={wrong} />
    </label>
  );
}

/** A number with its unit in the label; keeps what was typed and accepts a decimal comma. */
export function NumberField({ label, value, onValue, required = false, hint, wide = false, wrong }: Shared) {
  const id = useId();
  const said = isWrongNumber(value) ? 'Give a number, such as 4.5' : wrong;
  return (
    <label class={wide ? 'field wide' : 'field'}>
      {label}
      <input
        inputMode="decimal"
        value={value}
        required={required}
        {...described(id, said)}
        autoComplete="off"
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      <Below id={id} wrong={said} hint={hint} />
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
  required = false,
  wrong,
}: Shared & { readonly choices: readonly (readonly [value: string, label: string])[] }) {
  const id = useId();
  const open = choices.every(([choice]) => choice !== value);
  return (
    <label class={wide ? 'field wide' : 'field'}>
      {label}
      <select
        value={value}
        required={required}
        {...described(id, wrong)}
        onInput={(event) => onValue(event.currentTarget.value)}
      >
        {/* Nothing is chosen for the reader: the question stays open until it is answered. */}
        {open && (
          <option value="" selected>
            Choose
          </option>
        )}
        {choices.map(([choice, text]) => (
          <option key={choice} value={choice} selected={choice === value}>
            {text}
          </option>
        ))}
      </select>
      <Below id={id} wrong={wrong} hint={hint} />
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

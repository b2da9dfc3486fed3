interface Props<T extends string> {
  readonly label: string;
  readonly value: T;
  readonly choices: readonly (readonly [value: T, label: string])[];
  readonly onChoose: (value: T) => void;
}

/** A few choices side by side; the chosen one is bold and lined. */
export function Choice<T extends string>({ label, value, choices, onChoose }: Props<T>) {
  return (
    <fieldset class="choose">
      <legend>{label}</legend>
      <div class="choice">
        {choices.map(([choice, text]) => (
          <button
            key={choice}
            class="btn"
            type="button"
            aria-pressed={choice === value}
            onClick={() => onChoose(choice)}
          >
            {text}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

import { signal } from '@preact/signals';

export type Theme = 'auto' | 'light' | 'dark';
export type Contrast = 'auto' | 'more' | 'normal';

/** Kept on this device alone; `public/theme.js` reads the same keys before the first paint. */
export const theme = signal<Theme>(stored('theme', ['light', 'dark']) ?? 'auto');
export const contrast = signal<Contrast>(stored('contrast', ['more', 'normal']) ?? 'auto');
/** Changes with every change of colours: charts on a canvas must draw again. */
export const coloursTurn = signal(0);

export function chooseTheme(choice: Theme): void {
  theme.value = choice;
  keep('theme', choice);
}

export function chooseContrast(choice: Contrast): void {
  contrast.value = choice;
  keep('contrast', choice);
}

/** Follows the system's own switch between light and dark. */
export function followSystemColours(): void {
  for (const query of ['(prefers-color-scheme: dark)', '(prefers-contrast: more)']) {
    matchMedia(query).addEventListener('change', () => {
      coloursTurn.value += 1;
    });
  }
}

function keep(name: 'theme' | 'contrast', choice: string): void {
  if (choice === 'auto') delete document.documentElement.dataset[name];
  else document.documentElement.dataset[name] = choice;
  try {
    if (choice === 'auto') localStorage.removeItem(`quietkeg-${name}`);
    else localStorage.setItem(`quietkeg-${name}`, choice);
  } catch {
    // Storage may be forbidden: the choice then holds for this visit.
  }
  coloursTurn.value += 1;
}

function stored<T extends string>(name: string, choices: readonly T[]): T | null {
  try {
    const kept = localStorage.getItem(`quietkeg-${name}`);
    return choices.find((choice) => choice === kept) ?? null;
  } catch {
    return null;
  }
}

/** Shortest and longest passphrase, in characters. */
export const PASSPHRASE_CHARACTERS = { min: 12, max: 200 } as const;

/** Beginnings that everybody tries first; what follows them must be long enough by itself. */
const GUESSED = /^(?:passwor[dt]|passphrase|quietkeg|letmein|qwerty(?:uiop)?|welcome|admin|beer)/i;

/** The same passphrase whatever keyboard it was typed on. @source NIST SP 800-63B, section 5.1.1.2: normalise before hashing */
export function normalised(passphrase: string): string {
  return passphrase.normalize('NFKC');
}

/** What is wrong with a new passphrase, in words; null if it will do. Length counts, not kinds of characters. */
export function passphraseFault(passphrase: string): string | null {
  const text = normalised(passphrase);
  const { min, max } = PASSPHRASE_CHARACTERS;
  const length = [...text].length;
  if (length < min) return `must have at least ${min} characters; three or four words do well`;
  if (length > max) return `must have at most ${max} characters`;
  const rest = text.replace(GUESSED, '');
  if (new Set(rest.toLowerCase()).size < 4 || isRun(rest) || (rest !== text && [...rest].length < min / 2))
    return 'is one that is guessed first; take three or four words that have nothing to do with each other';
  return null;
}

/** Digits or letters in a row, such as 123456789012. */
function isRun(text: string): boolean {
  const codes = [...text].map((character) => character.codePointAt(0) ?? 0);
  const steps = codes.slice(1).map((code, index) => code - (codes[index] ?? 0));
  // A wrap from 9 to 0 is still a run.
  return steps.every((step) => step === 1 || step === -9) || steps.every((step) => step === -1 || step === 9);
}

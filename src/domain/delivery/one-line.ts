/** Text without anything that could end a line or steer a terminal: fit for a header, a subject, a log. */
export function oneLine(text: string, lengthMax = 500): string {
  const plain = text
    .replace(/[\p{Cc}\p{Zl}\p{Zp}\p{Cf}]+/gu, ' ')
    .replace(/ {2,}/g, ' ')
    .trim();
  return plain.length <= lengthMax ? plain : `${cutAtWord(plain, lengthMax - 1)}…`;
}

/** The beginning of a text, at most so long, not cut within a word if that can be avoided, nor within a character. */
export function cutAtWord(text: string, lengthMax: number): string {
  if (text.length <= lengthMax) return text;
  const cut = text.slice(0, lengthMax);
  const whole = cut.replace(/[\uD800-\uDBFF]$/, '');
  const gap = text[lengthMax] === ' ' ? whole.length : Math.max(whole.lastIndexOf(' '), whole.lastIndexOf('\n'));
  const atWord = gap === -1 ? whole : whole.slice(0, gap).trimEnd();
  return (atWord.length >= lengthMax / 2 ? atWord : whole).trimEnd();
}

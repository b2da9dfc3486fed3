/** The known word nearest to a mistyped one, or null if none is near. */
export function nearest(word: string, known: readonly string[]): string | null {
  const scored = known.map((candidate) => ({
    candidate,
    steps: editSteps(word.toLowerCase(), candidate.toLowerCase()),
  }));
  const best = scored.toSorted((a, b) => a.steps - b.steps)[0];
  return best !== undefined && best.steps <= Math.max(2, word.length / 3) ? best.candidate : null;
}

/** Fewest single-letter changes between two words. @source V. I. Levenshtein 1966; row-by-row form */
function editSteps(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (const [index, letter] of [...a].entries()) {
    const next = [index + 1];
    for (const [column, other] of [...b].entries()) {
      const replaced = (row[column] ?? 0) + (letter === other ? 0 : 1);
      next.push(Math.min(replaced, (row[column + 1] ?? 0) + 1, (next[column] ?? 0) + 1));
    }
    row = next;
  }
  return row.at(-1) ?? 0;
}

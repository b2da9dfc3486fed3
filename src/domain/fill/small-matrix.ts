/** Linear algebra of a few unknowns: symmetric, positive definite. */

/** The lower triangle L of A = L·Lᵀ. */
export function cholesky(matrix: readonly (readonly number[])[]): number[][] {
  const lower: number[][] = [];
  for (const [row, values] of matrix.entries()) {
    const line: number[] = [];
    for (let column = 0; column <= row; column += 1) {
      const other = column === row ? line : (lower[column] as number[]);
      let sum = values[column] as number;
      for (let at = 0; at < column; at += 1) sum -= (line[at] as number) * (other[at] as number);
      line.push(column === row ? Math.sqrt(sum) : sum / (other[column] as number));
    }
    lower.push(line);
  }
  return lower;
}

/** x of L·Lᵀ·x = b. */
export function solved(lower: readonly (readonly number[])[], b: readonly number[]): number[] {
  const forward: number[] = [];
  for (const [row, line] of lower.entries()) {
    let sum = b[row] as number;
    for (let at = 0; at < row; at += 1) sum -= (line[at] as number) * (forward[at] as number);
    forward.push(sum / (line[row] as number));
  }
  const x = [...forward];
  for (let row = lower.length - 1; row >= 0; row -= 1) {
    let sum = forward[row] as number;
    for (let at = row + 1; at < lower.length; at += 1)
      sum -= ((lower[at] as number[])[row] as number) * (x[at] as number);
    x[row] = sum / ((lower[row] as number[])[row] as number);
  }
  return x;
}

/** ln det A = 2 Σ ln L_ii. */
export function logDeterminant(lower: readonly (readonly number[])[]): number {
  return lower.reduce((sum, line, row) => sum + 2 * Math.log(line[row] as number), 0);
}

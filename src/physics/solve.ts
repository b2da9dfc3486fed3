/**
 * The root of a function that rises through zero between two bounds, by bisection to the resolution of the numbers.
 * A root outside the bounds gives the nearer bound. At most 200 halvings, so it always ends.
 * @source bisection; any text on numerical methods
 */
export function risingRoot(rising: (x: number) => number, low: number, high: number): number {
  let below = low;
  let above = high;
  for (let step = 0; step < 200; step += 1) {
    const middle = (below + above) / 2;
    if (middle <= below || middle >= above) break;
    if (rising(middle) < 0) below = middle;
    else above = middle;
  }
  return (below + above) / 2;
}

import { PhysicsRangeError } from '../physics/range.ts';

/** Physics refuses what is out of its range by throwing; for what is said of a keg that is an answer, not an accident. */
export function refusedAsNull(compute: () => number): number | null {
  try {
    return compute();
  } catch (error) {
    if (error instanceof PhysicsRangeError) return null;
    throw error;
  }
}

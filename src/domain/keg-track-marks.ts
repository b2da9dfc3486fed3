import { STEP_MS } from './clean/step.ts';

/** Something that held at the border of two steps. */
export interface Mark<T> {
  readonly atMs: number;
  readonly held: T;
}

/** Newest age (in steps) of each class of marks: near ones are close together, as most late readings are a little late. */
const CLASS_FROM_STEPS = [0, 1, 4, 24, 288];

/**
 * Keeps a few of many marks, newest last, so that going back costs little: in each class of age the oldest, which will
 * be the next class's, and the newest. So there are at most two a class, however long a batch takes.
 */
export function withMark<T>(marks: readonly Mark<T>[], mark: Mark<T>): readonly Mark<T>[] {
  const all = [...marks, mark];
  const classes = all.map(({ atMs }) => classOf((mark.atMs - atMs) / STEP_MS));
  return all.filter(
    (_, index) => classes[index - 1] !== classes[index] || classes[index + 1] !== classes[index] || index === 0,
  );
}

function classOf(ageSteps: number): number {
  return CLASS_FROM_STEPS.findLastIndex((from) => ageSteps >= from);
}

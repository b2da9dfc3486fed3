import type { TrackOutput } from '../keg-track-types.ts';
import type { DissolvedOutlook } from './basis.ts';

/** What a verdict needs of the estimate; null where nothing can be estimated. */
export function dissolvedOutlook(output: TrackOutput | null): DissolvedOutlook | null {
  if (output === null || output.dissolved === null) return null;
  const { volumes, low, high, disagreement } = output.dissolved;
  const { insideProbability, aboveProbability, readyIn, passesTopInHours } = output;
  return { volumes, low, high, insideProbability, aboveProbability, readyIn, passesTopInHours, disagreement };
}

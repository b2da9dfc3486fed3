import type { Random } from '../random.ts';
import type { Script, Wishes } from './script.ts';

export type SituationGroup =
  | 'calm'
  | 'checks'
  | 'leaks'
  | 'supply'
  | 'probe'
  | 'fridge'
  | 'use'
  | 'vessel'
  | 'mistakes';

/** A named course of events with a keg, made anew from each seed. */
export interface Situation {
  readonly name: string;
  readonly group: SituationGroup;
  /** What happens, in a sentence. */
  readonly about: string;
  /** What is given; all else is drawn. */
  readonly wishes?: Wishes | ((random: Random) => Wishes);
  /** What happens and is entered after the filling. */
  readonly write?: (script: Script) => void;
}

import type { Units } from '../../../src/contract/catalogue.ts';
import type { AMBIENT_WORD } from '../../format/words.ts';
import type { Interval, MapFacts } from './geometry.ts';

/** What the map is drawn from. */
export interface MapProps extends MapFacts {
  readonly units: Units;
  readonly beerName: string;
  readonly closed: readonly Interval[];
  readonly midnights: readonly { readonly atMs: number; readonly label: string }[];
  readonly gasWord: string;
  readonly ambientFrom: keyof typeof AMBIENT_WORD;
  /** Someone must turn the regulator: the arrow is vermilion. */
  readonly act: boolean;
  readonly old: boolean;
}

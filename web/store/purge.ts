import { signal } from '@preact/signals';
import { later } from './clock.ts';

/** Seconds of gas into each bottle before the beer. Common practice (2 to 3 s), no source. */
export const PURGE_S = 3;

/** Seconds that are left; 0: long enough; null: nobody purges. */
export const purgeLeftS = signal<number | null>(null);

const SECOND_MS = 1_000;
const SHOWN_S = 4;
let stop: () => void = () => undefined;

/** Counts a purge down. */
export function startPurge(): void {
  stop();
  step(PURGE_S);
}

function step(leftS: number): void {
  purgeLeftS.value = Math.max(0, leftS);
  if (leftS > -SHOWN_S) stop = later(SECOND_MS, () => step(leftS - 1));
  else purgeLeftS.value = null;
}

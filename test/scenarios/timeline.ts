import type { EventEntry } from '../../src/contract/index.ts';

export interface Expectation {
  readonly atMin: number;
  readonly state?: Readonly<Record<string, unknown>>;
  readonly checks?: Readonly<Record<string, string>>;
  /** Every alert told so far, as "rule state", in order. */
  readonly alerts?: readonly string[];
}

export interface Scenario {
  readonly name: string;
  /** Minutes between two values. */
  readonly every: number;
  readonly series: Readonly<Record<string, string>>;
  /** False for a keg that is only heard of. */
  readonly filled?: boolean;
  readonly entries?: readonly (Record<string, unknown> & {
    readonly atMin: number;
    readonly kind: EventEntry['kind'];
  })[];
  readonly restarts?: readonly number[];
  readonly expect: readonly Expectation[];
}

/** The values of a series, one a step; null is silence. */
export function readSeries(text: string): (string | null)[] {
  return text
    .trim()
    .split(/\s+/)
    .flatMap((part) => {
      const [, value = part, count = '1'] = /^(.+?)x(\d+)$/.exec(part) ?? [];
      const steps = Number(count);
      const ramp = /^(-?[\d.]+)>(-?[\d.]+)$/.exec(value);
      if (ramp !== null) {
        const [from, to] = [Number(ramp[1]), Number(ramp[2])];
        return Array.from({ length: steps }, (_, n) => String(from + ((to - from) * n) / Math.max(1, steps - 1)));
      }
      return Array.from({ length: steps }, () => (value === '_' ? null : value));
    });
}

import type { Decoded, ProbeReading } from './decode.ts';

export interface SeriesLimitOptions {
  readonly most: number;
  /** Ids of all probes that were ever heard and not forgotten. */
  readonly heard: () => Iterable<string>;
  /** Somebody set this probe up. */
  readonly isSetUp: (probeId: string) => boolean;
}

/** Refusals after which it is looked whether somebody has made room. */
const LOOK_AGAIN_AFTER = 1000;

/**
 * Bounds the number of series: a device that makes up a topic for each message would else fill memory and store. Whoever
 * was heard before, or was set up by a person, is always heard.
 */
export class SeriesLimit {
  readonly #options: SeriesLimitOptions;
  #known: Set<string> | null = null;
  #refused = 0;

  constructor(options: SeriesLimitOptions) {
    this.#options = options;
  }

  /** The same with those readings refused that would begin one series too many. */
  admit(decoded: Decoded): Decoded {
    const admitted = decoded.readings.filter((reading) => this.#isAdmitted(reading));
    if (admitted.length === decoded.readings.length) return decoded;
    const refused = decoded.readings.length - admitted.length;
    const reason = `${this.#options.most} probes are heard already; forget some on the page Probes, or assign this topic there`;
    return { ...decoded, readings: admitted, rejections: [...decoded.rejections, ...Array(refused).fill(reason)] };
  }

  #isAdmitted({ probe: { probeId } }: ProbeReading): boolean {
    this.#known ??= new Set(this.#options.heard());
    if (this.#known.has(probeId)) return true;
    if (this.#known.size < this.#options.most) {
      this.#known.add(probeId);
      return true;
    }
    if (this.#options.isSetUp(probeId)) return true;
    this.#refused += 1;
    if (this.#refused % LOOK_AGAIN_AFTER === 0) this.#known = new Set(this.#options.heard());
    return false;
  }
}

/**
 * Published and customary limits of kegs, bottles and air to breathe: facts to show with their standing, not permission.
 * The stamp on the keg, the maker of the bottle and the law where you are come first.
 */
export type FactStatus = 'seen' | 'seen in secondary text' | 'from memory';

export interface PressureLimit {
  readonly subject: string;
  readonly lowKpaGauge: number;
  readonly highKpaGauge: number;
  readonly note: string;
  readonly source: string;
  readonly status: FactStatus;
}

/** @source each row names its own */
export const PRESSURE_LIMITS: readonly PressureLimit[] = [
  {
    subject: 'beer bottle of glass, proof pressure when new',
    lowKpaGauge: 1000,
    highKpaGauge: 1600,
    note: 'Multi-trip about 1,000, standard about 1,200. A scratched or reused bottle holds less; use a safety factor of 3 to 5.',
    source: 'two trade articles on glass bottle testing, not the standards (ISO 7458, ASTM C147)',
    status: 'seen',
  },
  {
    subject: 'beer bottle of glass, GB 4544',
    lowKpaGauge: 1200,
    highKpaGauge: 1200,
    note: 'Internal pressure that a new bottle withstands in the test.',
    source: 'GB 4544-2020, value not seen in the text itself',
    status: 'from memory',
  },
  {
    subject: '19 L keg, working pressure',
    lowKpaGauge: 896,
    highKpaGauge: 896,
    note: 'Typical stamp of 130 psi. Read the stamp on your keg.',
    source: 'common stamp',
    status: 'from memory',
  },
  {
    subject: '19 L keg, relief valve',
    lowKpaGauge: 414,
    highKpaGauge: 896,
    note: '60 to 130 psi, differs by lid.',
    source: 'common parts',
    status: 'from memory',
  },
];

/** Safety factor named for glass between greatest service pressure and burst. @source trade article on bottle testing: 3 to 5 */
export const GLASS_SAFETY_FACTOR = { low: 3, high: 5 } as const;

export interface ExposureLimit {
  readonly body: string;
  readonly limit: string;
  readonly ppm: number;
  readonly averaging: string;
  readonly source: string;
  readonly status: FactStatus;
}

/** Where most of the limits below were read. */
const NIOSH = 'NIOSH, Documentation for Immediately Dangerous to Life or Health Concentrations: Carbon dioxide, 1994';

/** Limits for CO2 in air to breathe. @source each row names its own */
export const CO2_EXPOSURE_LIMITS: readonly ExposureLimit[] = [
  { body: 'OSHA (USA)', limit: 'PEL', ppm: 5000, averaging: '8 h TWA', source: NIOSH, status: 'seen' },
  { body: 'NIOSH (USA)', limit: 'REL', ppm: 5000, averaging: 'TWA', source: NIOSH, status: 'seen' },
  { body: 'NIOSH (USA)', limit: 'REL short term', ppm: 30_000, averaging: '15 min', source: NIOSH, status: 'seen' },
  { body: 'ACGIH (USA)', limit: 'TLV-TWA', ppm: 5000, averaging: '8 h TWA', source: NIOSH, status: 'seen' },
  { body: 'ACGIH (USA)', limit: 'TLV-STEL', ppm: 30_000, averaging: '15 min', source: NIOSH, status: 'seen' },
  {
    body: 'NIOSH (USA)',
    limit: 'IDLH (revised)',
    ppm: 40_000,
    averaging: 'immediate',
    source: 'texts that quote NIOSH',
    status: 'seen in secondary text',
  },
  {
    body: 'HSE (UK)',
    limit: 'WEL long term',
    ppm: 5000,
    averaging: '8 h',
    source: 'a text that quotes EH40/2005',
    status: 'seen in secondary text',
  },
  {
    body: 'HSE (UK)',
    limit: 'WEL short term',
    ppm: 15_000,
    averaging: '15 min',
    source: 'a text that quotes EH40/2005',
    status: 'seen in secondary text',
  },
  {
    body: 'EU directive 2006/15/EC',
    limit: 'IOELV',
    ppm: 5000,
    averaging: '8 h',
    source: 'a text that quotes the directive',
    status: 'seen in secondary text',
  },
];

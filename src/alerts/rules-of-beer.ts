import type { RuleName, ShippedRule } from './rule.ts';

export const MINUTE_MS = 60_000;
export const HOUR_MS = 60 * MINUTE_MS;
export const PRACTICE = 'Common practice, no source.';

type BeerRule = Extract<
  RuleName,
  | 'ready-to-fill'
  | 'cold-enough'
  | 'carbonated'
  | 'no-longer-cold'
  | 'will-pass-window'
  | 'over-window'
  | 'fridge-warm'
  | 'near-freezing'
>;

/** What a rule is that judges states, not single readings, and may come again. */
export const OF_STATES = {
  enabled: true,
  rereads: false,
  once: false,
  sampleGapMsMax: 30 * MINUTE_MS,
  isToldUnsaved: false,
} as const;
/** What a rule is that judges single readings. */
export const OF_READINGS = { ...OF_STATES, rereads: true } as const;

/** Rules about the beer itself: how cold it is and how much CO2 it holds. */
export const BEER_RULES: Readonly<Record<BeerRule, ShippedRule>> = {
  'ready-to-fill': {
    ...OF_STATES,
    name: 'ready-to-fill',
    title: 'Ready to fill',
    level: 'news',
    onDelayMs: 15 * MINUTE_MS,
    // A draw, a door or a look into the fridge makes a verdict wait for a while; that is no news.
    offDelayMs: 6 * HOUR_MS,
    limits: {},
    cause: 'Every check of the verdict passes: carbonation, cold, pressure, rest.',
    consequence: 'Bottles filled now foam little and hold what you wished for.',
    action: 'Fill whenever you like.',
    timeToAct: 'As long as it stays ready.',
    source: PRACTICE,
  },
  'cold-enough': {
    ...OF_READINGS,
    name: 'cold-enough',
    title: 'Cold enough to fill',
    level: 'news',
    onDelayMs: 10 * MINUTE_MS,
    offDelayMs: 0,
    limits: {
      marginC: { usual: 0.2, unit: 'K', low: 0, high: 3, what: 'begins this far above the fill temperature' },
      endAboveC: { usual: 0.5, unit: 'K', low: 0, high: 6, what: 'ends above the fill temperature and this' },
    },
    cause: 'The beer has come down to its fill temperature.',
    consequence: 'Cold beer holds its CO2 and foams little.',
    action: 'Fill when the other checks agree; put the bottles into the cold as well.',
    timeToAct: 'None: it stays cold in the fridge.',
    source: PRACTICE,
  },
  carbonated: {
    ...OF_STATES,
    name: 'carbonated',
    title: 'Carbonated as wished',
    level: 'news',
    onDelayMs: HOUR_MS,
    offDelayMs: 24 * HOUR_MS,
    once: true,
    limits: {
      insideMin: { usual: 0.9, unit: '1', low: 0.5, high: 0.99, what: 'how sure it must be that the beer is inside' },
      insideEnd: { usual: 0.4, unit: '1', low: 0.05, high: 0.9, what: 'ends where it is less sure than this' },
    },
    cause: 'The beer has taken up as much CO2 as you wished.',
    consequence: 'It is as lively as it should be; more would gush.',
    action: 'Keep a pressure that holds it there, and fill when it is cold and at rest.',
    timeToAct: 'None, as long as the pressure settles inside the window.',
    source: PRACTICE,
  },
  'no-longer-cold': {
    ...OF_READINGS,
    name: 'no-longer-cold',
    title: 'No longer cold during a fill',
    level: 'attention',
    onDelayMs: 2 * MINUTE_MS,
    offDelayMs: 5 * MINUTE_MS,
    limits: {
      aboveC: { usual: 0.5, unit: 'K', low: 0.1, high: 6, what: 'begins above the fill temperature and this' },
      endAboveC: { usual: 0.2, unit: 'K', low: 0, high: 5, what: 'ends at the fill temperature and this' },
    },
    cause: 'The door stood open or the keg out of the fridge while bottles were filled.',
    consequence: 'Warmer beer foams in the line and loses its CO2.',
    action: 'Pause, shut the door, and go on when the beer is cold again.',
    timeToAct: 'Minutes.',
    source: PRACTICE,
  },
  'will-pass-window': {
    ...OF_STATES,
    name: 'will-pass-window',
    title: 'Will pass its window',
    level: 'attention',
    onDelayMs: 30 * MINUTE_MS,
    offDelayMs: 6 * HOUR_MS,
    limits: {
      withinHours: {
        usual: 24,
        unit: 'h',
        low: 1,
        high: 160,
        what: 'begins when the beer may pass its top within this',
      },
      endHours: { usual: 60, unit: 'h', low: 2, high: 168, what: 'ends when it takes longer than this' },
    },
    cause: 'The pressure is higher than what the wished carbonation takes at this temperature.',
    consequence: 'Beer past its window gushes when bottles are filled.',
    action: 'Turn the regulator to the pressure that holds the beer in its window.',
    timeToAct: 'The hours that the message names.',
    source: PRACTICE,
  },
  'over-window': {
    ...OF_STATES,
    name: 'over-window',
    title: 'Past its window',
    level: 'attention',
    onDelayMs: HOUR_MS,
    offDelayMs: 12 * HOUR_MS,
    limits: {
      aboveMin: { usual: 0.9, unit: '1', low: 0.5, high: 0.99, what: 'how sure it must be that the beer is past' },
      aboveEnd: { usual: 0.4, unit: '1', low: 0.05, high: 0.9, what: 'ends where it is less sure than this' },
    },
    cause: 'The pressure was too high for too long.',
    consequence: 'The beer gushes; bottles filled from it are under more pressure than planned.',
    action: 'Close its gas, vent a little at a time over a day at least, rest it for 12 h, then make a gas check.',
    timeToAct: 'Before the next fill.',
    source: PRACTICE,
  },
  'fridge-warm': {
    ...OF_STATES,
    name: 'fridge-warm',
    title: 'Fridge warm',
    level: 'attention',
    onDelayMs: 30 * MINUTE_MS,
    offDelayMs: HOUR_MS,
    limits: {
      airAboveC: {
        usual: 2.5,
        unit: 'K',
        low: 1,
        high: 15,
        what: 'air this far above what is set, as a mean of half an hour',
      },
      afterFillingC: {
        usual: 6,
        unit: 'K',
        low: 1,
        high: 20,
        what: 'the same for a day after warm beer was put in, or another setting entered',
      },
      beerRoseC: {
        usual: 2,
        unit: 'K',
        low: 0.5,
        high: 10,
        what: 'without an air probe: beer this much warmer than a day before',
      },
      endAboveC: { usual: 1.5, unit: 'K', low: 0.2, high: 10, what: 'ends this far above' },
    },
    cause: 'The door is ajar, the power is off, or the fridge has failed.',
    consequence: 'Warming beer loses its place in the window, and the pressure in the keg rises.',
    action: 'Shut the door; see that the fridge has power and runs.',
    timeToAct: 'A full keg warms by about a degree in an hour or two.',
    source: PRACTICE,
  },
  'near-freezing': {
    ...OF_READINGS,
    name: 'near-freezing',
    title: 'Beer near freezing',
    level: 'urgent',
    onDelayMs: 5 * MINUTE_MS,
    offDelayMs: 30 * MINUTE_MS,
    limits: {
      marginC: { usual: 1, unit: 'K', low: 0, high: 3, what: 'begins this close above the freezing point of the beer' },
      deadbandC: { usual: 0.3, unit: 'K', low: 0, high: 3, what: 'ends this much warmer' },
    },
    cause: 'The fridge is set too cold or does not stop; beer near its coil is colder still.',
    consequence: 'Freezing beer spoils, blocks its line, and can burst bottles and fittings.',
    action: 'Set the fridge warmer now and look at the beer line.',
    timeToAct: 'An hour or less.',
    source: 'Freezing point from the alcohol alone, Lange and CRC handbooks; the margin is common practice.',
  },
};

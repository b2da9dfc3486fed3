import type { KegEvent } from '../domain/event.ts';
import { pressureWords, type SpokenUnits, temperatureWords } from '../domain/words.ts';
import type { AlertSample, EpisodeWords } from './episode.ts';
import { type Finding, findHigh, findLow, limitOf, type Observation, type RuleName, type RuleSource } from './rule.ts';
import { between, medianOf, type Trend } from './trend.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAY_MS = 24 * HOUR_MS;
/** How long trends are kept that these rules look at (ms), and how wide their spans are. */
export const TREND_KEEP_MS = 8 * DAY_MS;
export const TREND_WIDTH_MS = 15 * MINUTE_MS;

interface Said {
  readonly finding: Observation;
  readonly words: EpisodeWords;
  readonly endWords: EpisodeWords;
}

const sample = (rule: RuleName, target: string, kegId: string | null, atMs: number, said: Said): AlertSample => {
  return { rule, target, kegId, atMs, ...said };
};

/** What is known of a place for the rule of the warm fridge. */
export interface PlaceTrend {
  readonly placeId: string;
  readonly name: string;
  readonly atMs: number;
  /** Of the air; null: it has no probe. */
  readonly air: Trend | null;
  /** Last entered for the place (°C); null: nothing was. */
  readonly setC: number | null;
  /** When a keg was last put in, or another setting entered (ms); null: never. */
  readonly changedAtMs: number | null;
  /** Of the beers in it. */
  readonly beers: readonly { readonly name: string; readonly trend: Trend; readonly filledAtMs: number }[];
  readonly units: SpokenUnits;
}

/** Air that still falls by this within three hours is on its way (K): warm beer was put in, or the setting was changed. */
const FALLING_K = 0.7;
/** What a fridge usually holds, where nobody entered a setting: the middle of these days (ms), with so much heard at least. */
const USUAL_MS = 4 * DAY_MS;
const USUAL_HEARD_MS = DAY_MS;
/** Beer that was put in so lately is not looked at (ms). */
const FRESH_BEER_MS = 2 * DAY_MS;

/** What brings warmth in, or changes what is wished. */
const WARMS: ReadonlySet<string> = new Set(['keg-filled', 'keg-moved', 'fridge-set']);

/** When a place was last changed so that it may be warm for a while (ms); null: never. */
export function placeChangedAtMs(events: readonly KegEvent[], atMs: number): number | null {
  const changes = events.filter((event) => event.atMs <= atMs && WARMS.has(event.body.kind));
  return changes.length === 0 ? null : Math.max(...changes.map((event) => event.atMs));
}

export function judgePlaceTrend(rules: RuleSource, place: PlaceTrend): AlertSample {
  const rule = rules('fridge-warm');
  const { placeId, name, atMs, units } = place;
  const now = place.air === null ? null : medianOf(between(place.air, atMs - 30 * MINUTE_MS, atMs + 1));
  const wished = place.setC ?? usualAirC(place);
  const end = limitOf(rule, 'endAboveC');
  const isChanged = place.changedAtMs !== null && atMs - place.changedAtMs < DAY_MS;
  const airAboveK = limitOf(rule, isChanged ? 'afterFillingC' : 'airAboveC');
  const beer = warmestRise(place);
  const words = (message: string, advice: string): EpisodeWords => ({
    measured: now ?? beer?.nowC ?? null,
    limit: wished === null ? null : wished + airAboveK,
    unit: 'Cel',
    message,
    advice,
  });
  const airWords = `Air ${temperatureWords(now ?? 0, units)}, should be ${temperatureWords(wished ?? 0, units)}`;
  const beerWords = beer === null ? '' : `${beer.name} rose by ${temperatureWarmer(beer.riseK, units)} in a day`;
  const said: Said = {
    finding:
      now !== null && wished !== null && place.air !== null
        ? airFinding(now - wished, airAboveK, end, place.air, atMs)
        : beer === null
          ? 'unknown'
          : findHigh(beer.riseK, limitOf(rule, 'beerRoseC'), Math.min(end, limitOf(rule, 'beerRoseC') / 2)),
    words: words(
      `${name} is warm. ${now === null ? beerWords : airWords}.`,
      'See that its door is shut and it has power; a full keg warms by a degree in an hour or two.',
    ),
    endWords: words(`${name} is cold again.`, ''),
  };
  return sample('fridge-warm', placeId, null, atMs, said);
}

function temperatureWarmer(kelvin: number, { temperature }: SpokenUnits): string {
  return temperature === 'Cel' ? `${kelvin.toFixed(1)}\u00a0K` : `${(kelvin * 1.8).toFixed(1)}\u00a0°F`;
}

function airFinding(aboveK: number, beginK: number, endK: number, air: Trend, atMs: number): Finding {
  const before = medianOf(between(air, atMs - 3.5 * HOUR_MS, atMs - 3 * HOUR_MS + 1));
  const current = medianOf(between(air, atMs - 30 * MINUTE_MS, atMs + 1));
  const isFalling = before !== null && current !== null && current < before - FALLING_K;
  const finding = findHigh(aboveK, beginK, Math.min(endK, beginK));
  return finding === 'holds' && isFalling ? 'between' : finding;
}

function usualAirC({ air, atMs }: PlaceTrend): number | null {
  if (air === null) return null;
  const usual = between(air, atMs - USUAL_MS, atMs - 6 * HOUR_MS);
  return usual.length * TREND_WIDTH_MS >= USUAL_HEARD_MS ? medianOf(usual) : null;
}

/** Of the beers that have been there for a while, the one that got warmer most within a day. */
function warmestRise({ beers, atMs }: PlaceTrend): { name: string; nowC: number; riseK: number } | null {
  const rises = beers.flatMap(({ name, trend, filledAtMs }) => {
    if (filledAtMs > atMs - FRESH_BEER_MS) return [];
    const nowC = medianOf(between(trend, atMs - HOUR_MS, atMs + 1));
    const beforeC = medianOf(between(trend, atMs - 27 * HOUR_MS, atMs - 21 * HOUR_MS));
    return nowC === null || beforeC === null ? [] : { name, nowC, riseK: nowC - beforeC };
  });
  return rises.toSorted((a, b) => b.riseK - a.riseK)[0] ?? null;
}

/** A pressure behind a regulator: by its own probe, or in a keg with the gas on. */
export interface RegulatedPressure {
  /** The gas supply, or the keg. */
  readonly target: string;
  readonly kegId: string | null;
  readonly supplyId: string;
  readonly placeId: string | null;
  readonly name: string;
  readonly atMs: number;
  readonly pressure: Trend;
  /** Temperature of the beer, which moves the pressure of a keg; null: not looked at. */
  readonly beer: Trend | null;
  /** Of the keg or the supply, in order of time. */
  readonly events: readonly KegEvent[];
  readonly isOn: boolean;
  readonly settingKpaGauge: number | null;
  readonly units: SpokenUnits;
}

/** What moves a pressure for good reason: what it holds is learnt anew after it. */
const MOVES_PRESSURE: ReadonlySet<string> = new Set([
  'keg-filled',
  'keg-emptied',
  'regulator-set',
  'gas-opened',
  'gas-closed',
  'gas-check-started',
  'gas-check-ended',
  'cylinder-changed',
  'headspace-purged',
  'keg-vented',
  'keg-moved',
  'keg-shaken',
  'probe-zeroed',
]);
/** What it held before: the middle of the first day of the last week (ms), with so much heard at least. */
const WEEK_MS = 7 * DAY_MS;
const SETTLE_MS = 6 * HOUR_MS;
const BASE_MS = DAY_MS;
const BASE_SPANS_MIN = 24;
const RECENT_MS = 3 * HOUR_MS;
const RECENT_SPANS_MIN = 6;
/** Beer that got warmer by this much presses more by itself (K). */
const WARMED_K = 1.5;
/** Kegs of one regulator that rise within this time rise by one cause (ms). */
const CREEP_SCOPE_MS = 4 * DAY_MS;

export function judgeCreeping(rules: RuleSource, regulated: RegulatedPressure): AlertSample {
  const rule = rules('regulator-creeping');
  const { target, kegId, name, atMs, pressure, units, supplyId, placeId } = regulated;
  const lastMoveMs = regulated.events.findLast((e) => e.atMs <= atMs && MOVES_PRESSURE.has(e.body.kind))?.atMs ?? 0;
  const fromMs = Math.max(lastMoveMs + SETTLE_MS, atMs - WEEK_MS);
  const recent = between(pressure, atMs - RECENT_MS, atMs + 1);
  const base = between(pressure, fromMs, Math.min(fromMs + BASE_MS, atMs - RECENT_MS));
  const now = recent.length >= RECENT_SPANS_MIN ? medianOf(recent) : null;
  const before = base.length >= BASE_SPANS_MIN ? medianOf(base) : null;
  const deadband = limitOf(rule, 'deadbandKpa');
  const byBefore = now === null || before === null ? null : now - before - limitOf(rule, 'aboveKpa');
  const setting = kegId === null ? regulated.settingKpaGauge : null;
  const bySetting =
    now === null || setting === null || recent.some(({ startMs }) => startMs < lastMoveMs)
      ? null
      : now - setting - limitOf(rule, 'aboveSettingKpa');
  const most = Math.max(byBefore ?? Number.NEGATIVE_INFINITY, bySetting ?? Number.NEGATIVE_INFINITY);
  const warmed = byBefore !== null && regulated.beer !== null && isWarmed(regulated.beer, base, recent);
  const finding: Observation = !regulated.isOn
    ? 'between'
    : now === null
      ? 'unknown'
      : most === Number.NEGATIVE_INFINITY
        ? 'between'
        : warmed
          ? 'between'
          : findHigh(most, 0, -deadband);
  const held = bySetting !== null && bySetting === most ? setting : before;
  const figures = { measured: now, limit: held, unit: 'kPa' };
  const level = `${pressureWords(now ?? 0, units)}, before ${pressureWords(held ?? 0, units)}`;
  return {
    ...sample('regulator-creeping', target, kegId, atMs, {
      finding,
      words: {
        ...figures,
        message: `The pressure of ${name} creeps up with the gas on: ${level}.`,
        advice: 'Turn the regulator down and watch; if it goes on, close the cylinder and have it repaired.',
      },
      endWords: {
        ...figures,
        message: `The pressure of ${name} is down again: ${pressureWords(now ?? 0, units)}.`,
        advice: '',
      },
    }),
    scope: { key: `supply/${supplyId}`, onsetMs: atMs, withinMs: CREEP_SCOPE_MS },
    under: placeId === null ? [] : [{ rule: 'fridge-warm', target: placeId }],
  };
}

function isWarmed(beer: Trend, base: Trend, recent: Trend): boolean {
  const over = (spans: Trend) => {
    const times = spans.map(({ startMs }) => startMs);
    return medianOf(between(beer, Math.min(...times), Math.max(...times) + TREND_WIDTH_MS));
  };
  const [before, now] = [over(base), over(recent)];
  return before !== null && now !== null && now > before + WARMED_K;
}

/** Whether a regulator probe shows far less than was set. */
export function judgeRegulatorLow(rules: RuleSource, regulated: RegulatedPressure): AlertSample {
  const rule = rules('pressure-falling');
  const { target, name, atMs, pressure, units, settingKpaGauge } = regulated;
  const now = medianOf(between(pressure, atMs - 45 * MINUTE_MS, atMs + 1));
  const below = now === null || settingKpaGauge === null ? null : settingKpaGauge - now;
  const figures = { measured: now, limit: settingKpaGauge, unit: 'kPa' };
  const level = `${pressureWords(now ?? 0, units)}, set to ${pressureWords(settingKpaGauge ?? 0, units)}`;
  const endBelow = Math.min(limitOf(rule, 'endBelowKpa'), limitOf(rule, 'belowKpa'));
  return sample('pressure-falling', target, null, atMs, {
    finding: now === null ? 'unknown' : below === null ? 'over' : findHigh(below, limitOf(rule, 'belowKpa'), endBelow),
    words: {
      ...figures,
      message: `The regulator of ${name} gives too little: ${level}.`,
      advice: 'Today, look whether the cylinder is empty or shut. If you changed the setting, enter it.',
    },
    endWords: { ...figures, message: `The regulator of ${name} gives its pressure again: ${level}.`, advice: '' },
  });
}

/** What takes gas out of a cylinder for good reason, or changes what hangs on its scale. */
const TAKES_GAS: ReadonlySet<string> = new Set([
  'cylinder-changed',
  'headspace-purged',
  'keg-vented',
  'keg-filled',
  'keg-shaken',
  'diffusion-stone-started',
]);

/** A cylinder that loses more in a day than kegs take up leaks, with the gas on too. */
export function judgeCylinderLoss(
  rules: RuleSource,
  supply: {
    readonly supplyId: string;
    readonly name: string;
    readonly atMs: number;
    readonly mass: Trend;
    readonly events: readonly KegEvent[];
  },
): AlertSample {
  const rule = rules('leak');
  const { supplyId, name, atMs, mass } = supply;
  const now = medianOf(between(mass, atMs - HOUR_MS, atMs + 1));
  const before = medianOf(between(mass, atMs - 25 * HOUR_MS, atMs - 23 * HOUR_MS));
  const isUsed = supply.events.some(
    (e) => e.atMs > atMs - 26 * HOUR_MS && e.atMs <= atMs && TAKES_GAS.has(e.body.kind),
  );
  const lost = now === null || before === null ? null : before - now;
  const limit = limitOf(rule, 'kgPerDay');
  const figures = { measured: lost, limit, unit: 'kg/d' };
  return sample('leak', supplyId, null, atMs, {
    finding: now === null ? 'unknown' : lost === null || isUsed ? 'between' : findLow(-lost, -limit, -limit / 2),
    words: {
      ...figures,
      message: `The cylinder of ${name} lost ${(lost ?? 0).toFixed(2)}\u00a0kg in a day: more than beer takes up.`,
      advice: 'Air the room today. Brush joints, hoses and lids with soapy water and look for bubbles.',
    },
    endWords: { ...figures, message: `The cylinder of ${name} no longer loses gas so fast.`, advice: '' },
  });
}

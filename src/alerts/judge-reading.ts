import type { Quantity } from '../domain/quantity.ts';
import { pressureWords, type SpokenUnits, temperatureWords } from '../domain/words.ts';
import type { AlertSample, EpisodeWords } from './episode.ts';
import type { KegContext } from './keg-view.ts';
import { type Finding, findHigh, findLow, limitOf, type RuleName, type RuleSource } from './rule.ts';
import { coldEnoughWords, noLongerColdWords } from './words.ts';

/** A calibrated value at its time; pressures gauge. */
export interface Heard {
  readonly quantity: Quantity;
  readonly value: number;
  readonly atMs: number;
}

/** Kegs of one place that come near freezing within this time do so by one cause (ms). */
const FREEZING_SCOPE_MS = 12 * 3600_000;

/** What the rules about single readings say of a keg. */
export function judgeKegReading(rules: RuleSource, heard: Heard, keg: KegContext): AlertSample[] {
  const common = { target: keg.kegId, kegId: keg.kegId, atMs: heard.atMs };
  if (heard.quantity === 'headspace-pressure') {
    const pressure = overWorkingPressure(rules, heard.value, keg);
    return pressure === null ? [] : [{ ...common, ...pressure }];
  }
  if (heard.quantity !== 'beer-temperature') return [];
  return [
    { ...common, ...coldEnough(rules, heard.value, keg) },
    { ...common, ...noLongerCold(rules, heard.value, keg) },
    {
      ...common,
      ...nearFreezing(rules, heard.value, keg),
      scope: { key: `place/${keg.placeId}`, onsetMs: heard.atMs, withinMs: FREEZING_SCOPE_MS },
    },
  ];
}

interface Said {
  readonly rule: RuleName;
  readonly finding: Finding;
  readonly words: EpisodeWords;
  readonly endWords: EpisodeWords;
}

function coldEnough(rules: RuleSource, beerC: number, { name, targetC, units }: KegContext): Said {
  const rule = rules('cold-enough');
  const beginAtC = targetC + limitOf(rule, 'marginC');
  return {
    rule: rule.name,
    finding: findLow(beerC, beginAtC, targetC + limitOf(rule, 'endAboveC')),
    words: { ...coldEnoughWords(name, beerC, targetC, units), limit: beginAtC },
    endWords: { ...noLongerColdWords(name, beerC, targetC, units), limit: beginAtC },
  };
}

function noLongerCold(rules: RuleSource, beerC: number, { name, targetC, isFilling, units }: KegContext): Said {
  const rule = rules('no-longer-cold');
  const beginAtC = targetC + limitOf(rule, 'aboveC');
  const now = temperatureWords(beerC, units);
  const figures = { measured: beerC, limit: beginAtC, unit: 'Cel' };
  const isWarm = beerC > beginAtC ? 'holds' : beerC <= targetC + limitOf(rule, 'endAboveC') ? 'over' : 'between';
  return {
    rule: rule.name,
    finding: isFilling ? isWarm : 'over',
    words: {
      ...figures,
      message: `${name} gets warm while you fill: ${now}.`,
      advice: `Pause now and shut the door until it is at ${temperatureWords(targetC, units)}: warm beer foams.`,
    },
    endWords: {
      ...figures,
      message: isFilling ? `${name} is cold again: ${now}.` : `The fill of ${name} is over.`,
      advice: isFilling ? 'Go on filling.' : '',
    },
  };
}

function nearFreezing(rules: RuleSource, beerC: number, { name, freezesAtC, isFilled, units }: KegContext): Said {
  const rule = rules('near-freezing');
  const beginAtC = freezesAtC + limitOf(rule, 'marginC');
  const now = temperatureWords(beerC, units);
  const figures = { measured: beerC, limit: beginAtC, unit: 'Cel' };
  return {
    rule: rule.name,
    finding: isFilled ? findLow(beerC, beginAtC, beginAtC + limitOf(rule, 'deadbandC')) : 'over',
    words: {
      ...figures,
      message: `${name} is near freezing: ${now}; ice forms at ${temperatureWords(freezesAtC, units)}.`,
      advice: 'Set the fridge warmer within the hour. Ice blocks the line and bursts bottles.',
    },
    endWords: { ...figures, message: `${name} is clear of freezing again: ${now}.`, advice: '' },
  };
}

function overWorkingPressure(rules: RuleSource, kpaGauge: number, keg: KegContext): Said | null {
  const { name, workingKpaGaugeMax: highest, units } = keg;
  if (highest === null) return null;
  const rule = rules('over-working-pressure');
  const beginAtKpa = highest * limitOf(rule, 'shareMax');
  const now = pressureWords(kpaGauge, units);
  const figures = { measured: kpaGauge, limit: beginAtKpa, unit: 'kPa' };
  return {
    rule: rule.name,
    finding: findHigh(kpaGauge, beginAtKpa, highest * limitOf(rule, 'shareEnd')),
    words: {
      ...figures,
      message: `${name} is over the working pressure of its keg: ${now}, at most ${pressureWords(highest, units)}.`,
      advice: 'Close the cylinder now. Keep your face away and vent slowly by the relief valve.',
    },
    endWords: { ...figures, message: `${name} is below the working pressure of its keg again: ${now}.`, advice: '' },
  };
}

export interface SupplyContext {
  readonly supplyId: string;
  readonly name: string;
  readonly units: SpokenUnits;
}

/** What the rules about single readings say of a gas supply. A scale tells more than a gauge, where there are both. */
export function judgeSupplyReading(
  rules: RuleSource,
  { quantity, value, atMs }: Heard,
  supply: SupplyContext & { readonly hasScale: boolean },
): AlertSample[] {
  const rule = rules('cylinder-low');
  const isMass = quantity === 'cylinder-mass';
  if (!isMass && (quantity !== 'cylinder-pressure' || supply.hasScale)) return [];
  const limit = limitOf(rule, isMass ? 'massKg' : 'pressureKpa');
  const end = limitOf(rule, isMass ? 'endMassKg' : 'endPressureKpa');
  const left = isMass
    ? `${Math.max(0, value).toFixed(2)}\u00a0kg of CO2 left`
    : `${pressureWords(value, supply.units)}`;
  const figures = { measured: value, limit, unit: isMass ? 'kg' : 'kPa' };
  return [
    {
      rule: rule.name,
      target: supply.supplyId,
      kegId: null,
      atMs,
      finding: findLow(value, limit, end),
      words: {
        ...figures,
        message: `The cylinder of ${supply.name} is nearly empty: ${left}${isMass ? '' : ', no liquid left'}.`,
        advice: 'Have a full one at hand within days. If it went fast, look for a leak.',
      },
      endWords: { ...figures, message: `The cylinder of ${supply.name} holds enough again: ${left}.`, advice: '' },
    },
  ];
}

/** Means of CO2 in a room that the rules need; null: too little was heard. */
export interface RoomCo2 {
  readonly placeId: string;
  readonly name: string;
  readonly atMs: number;
  readonly ppm: number;
  readonly mean15minPpm: number | null;
  readonly mean8hPpm: number | null;
}

const thousands = (ppm: number) =>
  Math.round(ppm)
    .toString()
    .replace(/\B(?=(\d{3})+$)/g, ',');

/**
 * CO2 in the air of a room, worst first. @source the bodies named with the rules (`rules-of-gas`). Quietkeg is no safety
 * device, and says so.
 */
export function judgeRoomCo2(rules: RuleSource, room: RoomCo2): AlertSample[] {
  const { placeId, name } = room;
  const danger = { rule: 'room-co2-danger', target: placeId } as const;
  const short = { rule: 'room-co2-short', target: placeId } as const;
  const common = { target: placeId, kegId: null, atMs: room.atMs };
  const said = (rule: RuleName, ppm: number | null, span: string, advice: string) => {
    const inForce = rules(rule);
    const limit = limitOf(inForce, 'ppm');
    const figures = { measured: ppm, limit, unit: '[ppm]' };
    const level = `${thousands(ppm ?? 0)} ppm${span}`;
    return {
      ...common,
      rule,
      finding: ppm === null ? ('unknown' as const) : findHigh(ppm, limit, limitOf(inForce, 'endPpm')),
      words: { ...figures, message: `CO2 in ${name}: ${level}, limit ${thousands(limit)}.`, advice },
      endWords: {
        ...figures,
        message: `CO2 in ${name} is below its limit again: ${level}.`,
        advice: 'Trust a certified alarm before this.',
      },
    };
  };
  return [
    said(
      'room-co2-danger',
      room.ppm,
      '',
      'Danger: everybody out, do not go in. Air it from outside. Trust your certified CO2 alarm.',
    ),
    {
      ...said(
        'room-co2-short',
        room.mean15minPpm,
        ' over 15 min',
        'Leave now and air it. Trust your certified CO2 alarm, not this.',
      ),
      under: [danger],
    },
    {
      ...said(
        'room-co2-long',
        room.mean8hPpm,
        ' over 8 h',
        'Air it within the hour and look for a leak. This is no safety device; a certified alarm is.',
      ),
      under: [danger, short],
    },
  ];
}

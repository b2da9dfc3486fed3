import type { Freshness } from '../domain/probe-health.ts';
import type { Quantity } from '../domain/quantity.ts';
import { DEFAULT_LIMITS } from '../domain/verdict/limits.ts';
import { ageWords, type SpokenUnits, temperatureWords } from '../domain/words.ts';
import type { EpisodeWords } from './episode.ts';
import type { Finding } from './rule.ts';

/** Above its fill temperature by more than this the beer is no longer cold enough (°C). */
export const COLD_END_ABOVE_C = 0.5;

export function coldEnoughLimits(fillCelsius: number): { beginAtC: number; endAboveC: number } {
  return { beginAtC: fillCelsius + DEFAULT_LIMITS.coldMarginC, endAboveC: fillCelsius + COLD_END_ABOVE_C };
}

export function coldEnoughWords(
  beer: string,
  beerC: number,
  fillCelsius: number,
  units: Pick<SpokenUnits, 'temperature'>,
): EpisodeWords {
  return {
    measured: beerC,
    limit: coldEnoughLimits(fillCelsius).beginAtC,
    unit: 'Cel',
    message: `${beer} is cold enough to fill: ${temperatureWords(beerC, units)}.`,
    advice: 'Fill when its other checks agree. Put the bottles into the cold as well.',
  };
}

export function noLongerColdWords(
  beer: string,
  beerC: number,
  fillCelsius: number,
  units: Pick<SpokenUnits, 'temperature'>,
): EpisodeWords {
  return {
    ...coldEnoughWords(beer, beerC, fillCelsius, units),
    message: `${beer} is no longer cold enough to fill: ${temperatureWords(beerC, units)}.`,
    advice: `Wait until it is at ${temperatureWords(fillCelsius, units)} again.`,
  };
}

export const SPOKEN: Readonly<Record<Quantity, string>> = {
  'beer-temperature': 'beer thermometer',
  'air-temperature': 'air thermometer',
  'bottle-temperature': 'bottle thermometer',
  'headspace-pressure': 'pressure probe',
  'regulator-pressure': 'regulator probe',
  'purge-pressure': 'purge pressure probe',
  'cylinder-pressure': 'cylinder pressure probe',
  'ambient-pressure': 'barometer',
  'keg-mass': 'keg scale',
  'cylinder-mass': 'cylinder scale',
  'room-co2': 'CO2 meter of the room',
  'beer-flow': 'flow meter',
};

export function probeSilentWords(
  quantity: Quantity,
  where: string,
  silentMs: number,
  usualMs: number | null,
): EpisodeWords {
  const usual = usualMs === null ? '' : ` It usually speaks every ${ageWords(usualMs)}.`;
  return {
    measured: Math.round(silentMs / 1000),
    limit: null,
    unit: 's',
    message: `The ${SPOKEN[quantity]} of ${where} is silent.${usual}`,
    advice: 'Look if it has power and network, and if its battery is good.',
  };
}

/** Several probes that fell silent at the same time, all of `where` or one of them. */
export function probesSilentWords(count: number, where: string, silentMs: number, areAll: boolean): EpisodeWords {
  return {
    measured: Math.round(silentMs / 1000),
    limit: null,
    unit: 's',
    message: `${count} probes${areAll ? ` of ${where}` : `, one of ${where},`} fell silent at the same time, ${ageWords(silentMs)} ago.`,
    advice: 'Look at what they share: power, network, device or broker.',
  };
}

export function probeHeardWords(quantity: Quantity, where: string, silentMs: number): EpisodeWords {
  return {
    measured: Math.round(silentMs / 1000),
    limit: null,
    unit: 's',
    message: `The ${SPOKEN[quantity]} of ${where} is heard again.`,
    advice: '',
  };
}

/** @param trouble what is wrong with the disk, as the spool says it */
export function readingsNotKeptWords(trouble: string): EpisodeWords {
  return {
    measured: null,
    limit: null,
    unit: null,
    message: `New readings cannot be kept: ${trouble}.`,
    advice:
      'Make room on the disk of the data folder. Probes that wait for an answer will send again; what was answered is safe.',
  };
}

export function readingsKeptAgainWords(): EpisodeWords {
  return { measured: null, limit: null, unit: null, message: 'New readings are kept again.', advice: '' };
}

/** @param trouble what is wrong with the store, as the writer says it */
export function readingsWaitWords(trouble: string, waiting: number): EpisodeWords {
  return {
    measured: waiting,
    limit: null,
    unit: '1',
    message: `Readings wait on this disk: ${trouble}.`,
    advice: 'They are safe, and stored when the store takes them again. See that it runs and is set up as it says.',
  };
}

export function readingsStoredAgainWords(): EpisodeWords {
  return { measured: null, limit: null, unit: null, message: 'Readings are stored again.', advice: '' };
}

/** Late builds, stale is active, fresh is over. */
export function silenceFinding(freshness: Freshness): Finding {
  if (freshness === 'stale') return 'holds';
  return freshness === 'late' ? 'between' : 'over';
}

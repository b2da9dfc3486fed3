import type { EpisodeWords } from './episode.ts';

interface PartWords {
  readonly name: string;
  readonly trouble: string;
  readonly advice: string;
}

/** Parts of the service that may be in trouble, with what that means. */
const PARTS: Readonly<Record<string, PartWords>> = {
  broker: {
    name: 'MQTT broker',
    trouble: 'The MQTT broker cannot be reached',
    advice: 'Nothing is heard until it is back: look at its machine and the network.',
  },
  clock: {
    name: 'clock',
    trouble: 'The clock of this machine is not to be trusted',
    advice: 'Let it follow a time server; check times entered lately.',
  },
};
/** Causes are told this far: logs have all of them. */
const CAUSE_CHARACTERS = 60;

function partOf(part: string): PartWords {
  const words = PARTS[part];
  if (words === undefined) throw new Error(`no part of the service is called ${part}`);
  return words;
}

export function serviceTroubleWords(part: string, cause: string): EpisodeWords {
  const { trouble, advice } = partOf(part);
  const short = cause.length > CAUSE_CHARACTERS ? `${cause.slice(0, CAUSE_CHARACTERS - 1)}…` : cause;
  return { measured: null, limit: null, unit: null, message: `${trouble}: ${short}.`, advice };
}

export function serviceWellWords(part: string): EpisodeWords {
  return { measured: null, limit: null, unit: null, message: `The ${partOf(part).name} works again.`, advice: '' };
}

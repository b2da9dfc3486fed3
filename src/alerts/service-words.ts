import type { EpisodeWords } from './episode.ts';

interface PartWords {
  readonly name: string;
  readonly trouble: string;
  readonly advice: string;
  /** What is said when it is over; usually that the part works again. */
  readonly well?: string;
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
  disk: {
    name: 'disk',
    trouble: 'The disk of the data folder is almost full',
    advice: 'Make room: a full disk keeps no reading.',
    well: 'The disk of the data folder has room again.',
  },
  memory: {
    name: 'memory',
    trouble: 'This machine has almost no memory left',
    advice: 'End what else runs on it, or restart it.',
    well: 'This machine has memory again.',
  },
  backup: {
    name: 'nightly backup',
    trouble: 'The nightly backup could not be made',
    advice: 'It is tried again each hour; the log says more.',
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
  const { name, well } = partOf(part);
  return { measured: null, limit: null, unit: null, message: well ?? `The ${name} works again.`, advice: '' };
}

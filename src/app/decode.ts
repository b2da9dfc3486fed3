import type { Probe, ProbeDirectory } from '../domain/probe.ts';
import type { Reading } from '../domain/reading.ts';
import { readSample } from '../domain/sample.ts';
import { readTopic } from '../domain/topic.ts';
import type { PayloadDecoder } from '../ports/payload-decoder.ts';
import type { SpoolRecord } from '../ports/spool.ts';

export interface ProbeReading {
  readonly probe: Probe;
  readonly reading: Reading;
  /** False for a reading that came in as one of the past: it is no sign of life. */
  readonly live: boolean;
}

/** What a message means. Nothing of it is lost: what is no reading is a rejection with a reason. */
export interface Decoded {
  readonly readings: readonly ProbeReading[];
  readonly rejections: readonly string[];
  /** No probe reads this topic: it can be assigned to one. */
  readonly unassigned: boolean;
}

/** Makes readings of a message. The same message and directory always give the same readings. */
export function decodeRecord(record: SpoolRecord, directory: ProbeDirectory, decoder: PayloadDecoder): Decoded {
  const probes = directory.forTopic(record.topic);
  if (probes.length === 0) {
    const meaning = readTopic(record.topic);
    // What was not meant for us is no mistake: it is only listed, so that it can be assigned.
    return { readings: [], rejections: meaning.kind === 'misspelt' ? [meaning.reason] : [], unassigned: true };
  }
  const readings: ProbeReading[] = [];
  const rejections: string[] = [];
  for (const probe of probes) {
    const outcome = decoder.decode(record.payload, probe.pointer);
    if (!outcome.ok) {
      rejections.push(outcome.reason);
      continue;
    }
    for (const sample of outcome.samples) {
      const read = readSample(probe, sample, record.receivedAtMs, record.policy);
      if (!read.ok) rejections.push(read.reason);
      // A retained message is the broker's memory: without a time of its own nobody knows how old it is.
      else if (!record.retained || read.reading.timeFrom === 'device')
        readings.push({ probe, reading: read.reading, live: record.policy === 'live' });
    }
  }
  return { readings, rejections, unassigned: false };
}

import type { Finding, Rule } from '../../src/alerts/rule.ts';

export interface NaiveSample {
  readonly atMs: number;
  readonly finding: Finding;
}

/** What an alert has done: one line for each episode that became active, and where the last one stands. */
export interface NaiveStory {
  readonly episodes: readonly { readonly beganAtMs: number; readonly endedAtMs: number | null }[];
  /** Since when the condition has held without an episode yet, or null. */
  readonly buildingSinceMs: number | null;
}

/**
 * The rule in its plainest form: look at the whole list of samples, drop those that came too late, and search it for
 * stretches. An episode begins with a stretch of "holds" that lasts for the on-delay without a gap; it ends with a stretch of
 * "over" that lasts for the off-delay.
 */
export function naiveStory(rule: Rule, samples: readonly NaiveSample[]): NaiveStory {
  const inTime: NaiveSample[] = [];
  for (const sample of samples) {
    const last = inTime.at(-1);
    // While nothing has ever held there is no last sample to be older than.
    if (last === undefined || sample.atMs > last.atMs) inTime.push(sample);
  }
  const episodes: { beganAtMs: number; endedAtMs: number | null }[] = [];
  let buildingSinceMs: number | null = null;
  for (let index = 0; index < inTime.length; ) {
    const begin = findBegin(rule, inTime, index);
    if (begin === null) {
      buildingSinceMs = heldAtEnd(rule, inTime, index);
      break;
    }
    const end = findEnd(rule, inTime, begin.nextIndex);
    episodes.push({ beganAtMs: begin.beganAtMs, endedAtMs: end?.endedAtMs ?? null });
    index = end?.nextIndex ?? inTime.length;
  }
  return { episodes, buildingSinceMs };
}

/** The stretch of "holds" that ends at `index`, without gaps: its first sample. */
function stretchStart(rule: Rule, samples: readonly NaiveSample[], from: number, index: number): number {
  let start = index;
  for (let before = index - 1; before >= from; before -= 1) {
    const [earlier, later] = [samples[before], samples[start]];
    if (earlier === undefined || later === undefined || earlier.finding !== 'holds') break;
    if (later.atMs - earlier.atMs > rule.sampleGapMsMax) break;
    start = before;
  }
  return start;
}

function findBegin(rule: Rule, samples: readonly NaiveSample[], from: number) {
  for (let index = from; index < samples.length; index += 1) {
    const sample = samples[index];
    if (sample?.finding !== 'holds') continue;
    const start = samples[stretchStart(rule, samples, from, index)];
    if (start !== undefined && sample.atMs - start.atMs >= rule.onDelayMs) {
      return { beganAtMs: start.atMs, nextIndex: index + 1 };
    }
  }
  return null;
}

function findEnd(rule: Rule, samples: readonly NaiveSample[], from: number) {
  for (let index = from; index < samples.length; index += 1) {
    if (samples[index]?.finding !== 'over') continue;
    let start = index;
    while (start > from && samples[start - 1]?.finding === 'over') start -= 1;
    const [first, last] = [samples[start], samples[index]];
    if (first !== undefined && last !== undefined && last.atMs - first.atMs >= rule.offDelayMs) {
      return { endedAtMs: last.atMs, nextIndex: index + 1 };
    }
  }
  return null;
}

function heldAtEnd(rule: Rule, samples: readonly NaiveSample[], from: number): number | null {
  const index = samples.length - 1;
  if (samples[index]?.finding !== 'holds') return null;
  return samples[stretchStart(rule, samples, from, index)]?.atMs ?? null;
}

/** What may happen to an alert besides samples: `cut` ends whatever goes on, as when a rule is switched off. */
export type NaiveEvent = ({ readonly kind: 'sample' } & NaiveSample) | { readonly kind: 'cut'; readonly atMs: number };

/**
 * What people are told of an alert that is switched off, or loses what it watches, at times: between two cuts it tells its
 * plain story, and a cut ends what has begun. Everything else that may happen (marks, restarts) is told of nobody.
 */
export function naiveTold(rule: Rule, events: readonly NaiveEvent[]): string[] {
  const told: string[] = [];
  let samples: NaiveSample[] = [];
  const close = (cutMs: number | null) => {
    for (const { beganAtMs, endedAtMs } of naiveStory(rule, samples).episodes) {
      told.push(`begin ${beganAtMs}`);
      const lastMs = Math.max(...samples.map(({ atMs }) => atMs));
      const end = endedAtMs ?? (cutMs === null ? null : Math.max(cutMs, lastMs));
      if (end !== null) told.push(`end ${beganAtMs} at ${end}`);
    }
    samples = [];
  };
  for (const event of events) {
    if (event.kind === 'cut') close(event.atMs);
    else samples.push(event);
  }
  close(null);
  return told;
}

import type { Gap } from '../../../src/contract/delivery.ts';
import type { PlotGap } from '../../charts/plot.ts';
import { timeSpan } from '../../format/times.ts';
import { CAUSE_SENTENCE } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';
import { type CausedGap, type CurveColumns, gapsOf } from './read-curve.ts';

/** Why readings are missing, beside the gap in a chart, where there is little room. */
const CAUSE_LABEL: Readonly<Record<Gap['cause'], string>> = {
  'service-down': 'not running',
  'session-lost': 'lost at the broker',
  'broker-dropped': 'some lost at the broker',
  'probe-silent': 'no data',
};

const SAID_MOST = 3;

/** "Quietkeg was not running 14:02 to 14:09.": the longest few, in the order of time. */
export function gapSentences(gaps: readonly CausedGap[], nowMs: number, zone: string): string[] {
  const longest = gaps.toSorted((a, b) => b.toMs - b.fromMs - (a.toMs - a.fromMs)).slice(0, SAID_MOST);
  const said = longest
    .toSorted((a, b) => a.fromMs - b.fromMs)
    .map(({ cause, fromMs, toMs }) => `${CAUSE_SENTENCE[cause]} ${timeSpan(fromMs, toMs, nowMs, zone)}.`);
  const left = gaps.length - longest.length;
  return left === 0 ? said : [...said, `And ${left} more: see the table.`];
}

/** Gaps as the chart draws them, with their hours; where the service names none, the holes of the curve itself. */
export function plotGaps(columns: CurveColumns, zone: string): PlotGap[] {
  const hours = (fromS: number, toS: number): string => timeSpan(fromS * 1000, toS * 1000, fromS * 1000, zone);
  if (columns.gaps === null) {
    return gapsOf(columns.timeS, columns.beer.mean).map(({ fromS, toS }) => ({
      fromS,
      toS,
      words: `no data ${hours(fromS, toS)}`,
      empty: true,
    }));
  }
  return columns.gaps.map(({ cause, fromMs, toMs }) => {
    const [fromS, toS] = [fromMs / 1000, toMs / 1000];
    const some = columns.timeS.some((at, row) => at > fromS && at < toS && columns.beer.mean[row] !== null);
    return { fromS, toS, words: `${CAUSE_LABEL[cause]} ${hours(fromS, toS)}`, empty: !some };
  });
}

/** When Quietkeg was not running, and so said nothing: what of it lies in a span. */
export const silentSpans = ({ gaps }: Pick<CurveColumns, 'gaps'>, span: Span): Span[] =>
  (gaps ?? [])
    .filter(({ cause, fromMs, toMs }) => cause === 'service-down' && fromMs < span.toMs && toMs > span.fromMs)
    .map(({ fromMs, toMs }) => ({ fromMs: Math.max(fromMs, span.fromMs), toMs: Math.min(toMs, span.toMs) }));

import type { Units } from '../../../src/contract/catalogue.ts';
import { clockTime, timeSpan } from '../../format/times.ts';
import { CAUSE_SENTENCE, VERDICT_WORD } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';
import { runsOf } from '../verdict-strip/words.ts';
import { doubtedText, ofWhat } from './doubt-words.ts';
import type { CurveColumns } from './read-curve.ts';

interface Props {
  readonly columns: CurveColumns;
  readonly span: Span;
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
}

const MOST_ROWS = 40;

/** What was said meanwhile, what is missing and what was not believed, as tables: newest first. */
export function SaidTables({ columns, span, units, zone, nowMs }: Props) {
  const runs = runsOf(columns.verdicts, span).toReversed().slice(0, MOST_ROWS);
  const gaps = (columns.gaps ?? []).toReversed().slice(0, MOST_ROWS);
  const doubted = columns.doubted.toSorted((a, b) => b.atMs - a.atMs).slice(0, MOST_ROWS);
  return (
    <>
      {runs.length > 0 && (
        <table class="said-table">
          <thead>
            <tr>
              <th>When</th>
              <th>Verdict</th>
              <th>In words</th>
            </tr>
          </thead>
          <tbody>
            {runs.map(({ fromMs, toMs, kind, headline }) => (
              <tr key={fromMs}>
                <td>{timeSpan(fromMs, toMs, nowMs, zone)}</td>
                <td>{VERDICT_WORD[kind]}</td>
                <td>{headline}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {gaps.length > 0 && (
        <table class="said-table">
          <thead>
            <tr>
              <th>Readings missing</th>
              <th>Why</th>
            </tr>
          </thead>
          <tbody>
            {gaps.map(({ fromMs, toMs, cause }) => (
              <tr key={`${fromMs} ${cause}`}>
                <td>{timeSpan(fromMs, toMs, nowMs, zone)}</td>
                <td>{CAUSE_SENTENCE[cause].replace(/,$/, '')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {doubted.length > 0 && (
        <table class="said-table">
          <thead>
            <tr>
              <th>Not believed</th>
              <th>Of</th>
              <th class="num">Said</th>
            </tr>
          </thead>
          <tbody>
            {doubted.map((one) => (
              <tr key={`${one.quantity} ${one.atMs} ${one.value}`}>
                <td>{clockTime(one.atMs, nowMs, zone)}</td>
                <td>{ofWhat(one)}</td>
                <td class="num">{doubtedText(one, units)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}

import { timeSpan } from '../../format/times.ts';
import { CAUSE_SENTENCE, VERDICT_WORD } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';
import { runsOf } from '../verdict-strip/words.ts';
import type { CurveColumns } from './read-curve.ts';

interface Props {
  readonly columns: CurveColumns;
  readonly span: Span;
  readonly zone: string;
  readonly nowMs: number;
}

const MOST_ROWS = 40;

/** What was said meanwhile, and what is missing, as tables: newest first. */
export function SaidTables({ columns, span, zone, nowMs }: Props) {
  const runs = runsOf(columns.verdicts, span).toReversed().slice(0, MOST_ROWS);
  const gaps = (columns.gaps ?? []).toReversed().slice(0, MOST_ROWS);
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
    </>
  );
}

import type { ComponentChildren } from 'preact';
import { useMemo, useState } from 'preact/hooks';
import type { Units } from '../../../src/contract/catalogue.ts';
import type { KeptEvent } from '../../../src/contract/event.ts';
import type { PlotContent } from '../../charts/plot.ts';
import { carbonationNumber, carbonationUnit } from '../../format/numbers.ts';
import { timeTicks } from '../../format/times.ts';
import { EVENT_WORD } from '../../format/words.ts';
import { moved, type Range, type Span, zoomed } from '../../store/range.ts';
import { useSize } from '../use-size.ts';
import { CurveTable } from './curve-table.tsx';
import './curve-panel.css';
import { VerdictStrip } from '../verdict-strip/verdict-strip.tsx';
import { doubtSentence } from './doubt-words.ts';
import { EventRail, eventsIn, layOutFlags } from './event-rail.tsx';
import { gapSentences, plotGaps, silentSpans } from './gap-words.ts';
import { LazyPlot } from './lazy-plot.tsx';
import { carbonationPlot, carbonationSentence, pressurePlot, rowSentence, temperaturePlot } from './plots.ts';
import { type CurveColumns, hasValues } from './read-curve.ts';
import { SaidTables } from './said-tables.tsx';

export interface CurvePanelProps {
  readonly columns: CurveColumns | null;
  readonly span: Span;
  readonly range: Range;
  readonly batchFromMs: number | null;
  readonly events: readonly KeptEvent[];
  readonly target: { readonly low: number; readonly high: number };
  readonly units: Units;
  readonly zone: string;
  readonly nowMs: number;
  /** When the beer was out of its keg: nothing later is shown. Left out while it is in. */
  readonly endedMs?: number | null;
  /** What went wrong with the last question, or null. */
  readonly trouble: string | null;
  readonly onRange: (range: Range) => void;
}

type Lower = 'temperature' | 'pressure';

/** How it got there: what the beer would hold in the end, what it holds, and below the probe that tells. */
export function CurvePanel(props: CurvePanelProps) {
  const { columns, trouble } = props;
  const [asTable, setAsTable] = useState(false);
  const [row, setRow] = useState<number | null>(null);
  const empty = columns !== null && !hasValues(columns.beer.mean) && !hasValues(columns.pressure.mean);
  return (
    <section class="part curve" aria-labelledby="h-curve">
      <header>
        <h2 id="h-curve">How it got there</h2>
        <p class="note" aria-hidden="true">
          {columns === null ? '' : rowSentence(columns, row, props)}
        </p>
      </header>
      <RangeButtons {...props} />
      {trouble !== null && <p class="note">{trouble}</p>}
      {columns === null && trouble === null && <p class="note waiting">Asking for the curve.</p>}
      {empty && <p class="note waiting">Nothing was heard in this time. Look at another, or wait for the probes.</p>}
      {columns !== null && !empty && (
        <>
          <p class="summary">{carbonationSentence(columns, props)}</p>
          {asTable ? (
            <>
              <CurveTable columns={columns} units={props.units} zone={props.zone} nowMs={props.nowMs} />
              <SaidTables
                columns={columns}
                span={props.span}
                units={props.units}
                zone={props.zone}
                nowMs={props.nowMs}
              />
            </>
          ) : (
            <Charts {...props} columns={columns} row={row} onRow={setRow} />
          )}
          <button class="btn plain" type="button" aria-pressed={asTable} onClick={() => setAsTable(!asTable)}>
            {asTable ? 'Show as a curve' : 'Show as a table'}
          </button>
        </>
      )}
    </section>
  );
}

function RangeButtons({ range, batchFromMs, span, nowMs, endedMs = null, onRange }: CurvePanelProps) {
  const latestMs = endedMs ?? nowMs;
  const last = (length: string): string => (endedMs === null ? length : `Last ${length.toLowerCase()}`);
  const choices: readonly (readonly [label: string, range: Range])[] = [
    [last('6 h'), { kind: 'last', hours: 6 }],
    [last('Day'), { kind: 'last', hours: 24 }],
    [last('Week'), { kind: 'last', hours: 168 }],
    ...(batchFromMs === null ? [] : [['Whole batch', { kind: 'batch', fromMs: batchFromMs }] as const]),
  ];
  const same = (other: Range): boolean =>
    other.kind === range.kind && (other.kind !== 'last' || (range.kind === 'last' && other.hours === range.hours));
  const middle = (span.fromMs + span.toMs) / 2;
  const show = (next: Span): void => onRange({ kind: 'span', ...next });
  return (
    <div class="choice ranges">
      {choices.map(([label, choice]) => (
        <button key={label} class="btn" type="button" aria-pressed={same(choice)} onClick={() => onRange(choice)}>
          {label}
        </button>
      ))}
      <span class="gap" />
      <button class="btn" type="button" onClick={() => show(moved(span, -0.5, latestMs))}>
        Earlier
      </button>
      <button
        class="btn"
        type="button"
        disabled={span.toMs >= latestMs - 60_000}
        onClick={() => show(moved(span, 0.5, latestMs))}
      >
        Later
      </button>
      <button class="btn" type="button" onClick={() => show(zoomed(span, 0.5, middle, latestMs))}>
        Closer
      </button>
      <button class="btn" type="button" onClick={() => show(zoomed(span, 2, middle, latestMs))}>
        Wider
      </button>
    </div>
  );
}

interface ChartsProps extends CurvePanelProps {
  readonly columns: CurveColumns;
  readonly row: number | null;
  readonly onRow: (row: number | null) => void;
}

function Charts(props: ChartsProps) {
  const { columns, span, units, zone, nowMs, endedMs, target, events, row, onRow, onRange } = props;
  const [ref, size] = useSize<HTMLDivElement>();
  const [lower, setLower] = useState<Lower>('temperature');
  const width = size?.width ?? 0;
  const estimated = hasValues(columns.dissolved);
  const { low, high } = target;
  const top = useMemo(() => carbonationPlot(units, { low, high }, estimated), [units, low, high, estimated]);
  const bottom = useMemo(
    () => (lower === 'temperature' ? temperaturePlot(units) : pressurePlot(units)),
    [units, lower],
  );
  const common = useMemo(() => commonContent(columns, span, zone), [columns, span.fromMs, span.toMs, zone]);
  const upper = useMemo(
    () => ({ ...common, columns: top.columnsOf(columns), apart: top.apartOf(columns) }),
    [common, top],
  );
  const under = useMemo(
    () => ({ ...common, columns: bottom.columnsOf(columns), apart: bottom.apartOf(columns) }),
    [common, bottom],
  );
  const doubts = doubtSentence(columns.doubted, props);
  const choose = (fromMs: number, toMs: number): void =>
    onRange({ kind: 'span', ...zoomed({ fromMs, toMs }, 1, (fromMs + toMs) / 2, endedMs ?? nowMs) });
  return (
    <div class="charts" ref={ref}>
      <Cursor {...props}>
        <p class="axis-name">{carbonationUnit(units)}</p>
        <LazyPlot spec={top.spec} content={upper} height={230} row={row} onSpan={choose} onRow={onRow} />
        {width > 0 && <EventRail events={events} span={span} width={width} zone={zone} />}
      </Cursor>
      <EventWords events={events} span={span} width={width} />
      <VerdictStrip
        verdicts={columns.verdicts}
        span={span}
        silent={silentSpans(columns, span)}
        width={width}
        zone={zone}
        nowMs={nowMs}
      />
      <GapWords columns={columns} zone={zone} nowMs={nowMs} />
      <div class="choice lower">
        {LOWER.map(([kind, label]) => (
          <button key={kind} class="btn" type="button" aria-pressed={lower === kind} onClick={() => setLower(kind)}>
            {label}
          </button>
        ))}
        <span class="axis-name">{bottom.unit}, with the least and the most of each moment</span>
      </div>
      <LazyPlot spec={bottom.spec} content={under} height={130} row={row} onSpan={choose} onRow={onRow} />
      {doubts !== null && <p class="note gap-words">{doubts}</p>}
      <p class="note legend">
        {estimated && 'Thick line: in the beer, with the band it lies in nine times out of ten. '}
        Thin line: what it would hold in the end at the temperature and pressure of the moment. Between the two level
        lines: its window, {carbonationNumber(low, units)} to {carbonationNumber(high, units)}. Drag across to look
        closer.
      </p>
    </div>
  );
}

const LOWER = [
  ['temperature', 'Temperature'],
  ['pressure', 'Pressure'],
] as const;

function commonContent(columns: CurveColumns, span: Span, zone: string): Omit<PlotContent, 'columns' | 'apart'> {
  return {
    timeS: columns.timeS,
    fromMs: span.fromMs,
    toMs: span.toMs,
    uprightsMs: timeTicks(span.fromMs, span.toMs, zone, 12).map((tick) => tick.atMs),
    gaps: plotGaps(columns, zone),
  };
}

const STEPS: Readonly<Record<string, number>> = {
  ArrowLeft: -1,
  ArrowRight: 1,
  PageUp: -20,
  PageDown: 20,
  Home: -1e6,
  End: 1e6,
};

/** The arrow keys walk along the curve; what stands there is the spoken value. */
function Cursor(props: ChartsProps & { readonly children: ComponentChildren }) {
  const { columns, row, onRow, children } = props;
  const last = columns.timeS.length - 1;
  return (
    <div
      role="slider"
      tabIndex={0}
      aria-label="Cursor on the curve. Arrow keys move it."
      aria-valuemin={0}
      aria-valuemax={last}
      aria-valuenow={row ?? last}
      aria-valuetext={rowSentence(columns, row, props)}
      onKeyDown={(event) => {
        const by = STEPS[event.key];
        if (by === undefined) return;
        event.preventDefault();
        onRow(Math.min(last, Math.max(0, (row ?? last) + by)));
      }}
    >
      {children}
    </div>
  );
}

function GapWords({ columns, zone, nowMs }: Pick<ChartsProps, 'columns' | 'zone' | 'nowMs'>) {
  const sentences = gapSentences(columns.gaps ?? [], nowMs, zone);
  return sentences.length === 0 ? null : <p class="note gap-words">{sentences.join(' ')}</p>;
}

/** On a phone flags are numbers, and the words stand below. */
function EventWords({
  events,
  span,
  width,
}: {
  readonly events: readonly KeptEvent[];
  readonly span: Span;
  readonly width: number;
}) {
  if (!layOutFlags(events, span, width).numbered) return null;
  const shown = eventsIn(events, span);
  if (shown.length === 0) return null;
  return (
    <p class="note">
      {shown.map((event, index) => `${index + 1} ${EVENT_WORD[event.kind].toLowerCase()}`).join(', ')}.
    </p>
  );
}

import { useState } from 'preact/hooks';
import type { VerdictKind } from '../../../src/contract/state.ts';
import { timeSpan } from '../../format/times.ts';
import { VERDICT_WORD } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';
import { RAIL_LEFT, RAIL_RIGHT } from '../curve-panel/event-rail.tsx';
import { Silhouette } from '../sign/sign.tsx';
import './verdict-strip.css';
import { type PlacedRun, placeRuns, runAt, runSentence, runsOf, type SaidVerdict, xOf } from './words.ts';

interface Props {
  readonly verdicts: readonly SaidVerdict[];
  readonly span: Span;
  /** When nothing was said at all, as Quietkeg was not running. */
  readonly silent: readonly Span[];
  /** Of the charts above, whose edges it shares. */
  readonly width: number;
  readonly zone: string;
  readonly nowMs: number;
}

const HEIGHT = 48;
const LINE_Y = 34;

/**
 * What was said of the keg meanwhile, under the curve. It is past, so nobody is called and all is ink: sign, word and
 * line tell verdicts apart. A touch or the arrow keys say one in words.
 */
export function VerdictStrip({ verdicts, span, silent, width, zone, nowMs }: Props) {
  const [picked, setPicked] = useState<number | null>(null);
  const runs = runsOf(verdicts, span);
  const length = width - RAIL_LEFT - RAIL_RIGHT;
  const placed = placeRuns(runs, span, RAIL_LEFT, length);
  const last = runs.length - 1;
  const index = Math.min(picked ?? last, last);
  const run = placed[index];
  if (run === undefined || width === 0) return null;
  return (
    <div class="verdict-strip">
      <p class="axis-name">what Quietkeg said</p>
      <div
        role="slider"
        tabIndex={0}
        aria-label="What was said of it. Arrow keys move."
        aria-valuemin={0}
        aria-valuemax={last}
        aria-valuenow={index}
        aria-valuetext={runSentence(run, nowMs, zone)}
        onClick={(event) => {
          const found = runAt(placed, event.clientX - event.currentTarget.getBoundingClientRect().left);
          if (found !== null) setPicked(found);
        }}
        onKeyDown={(event) => {
          const next = { ArrowLeft: index - 1, ArrowRight: index + 1, Home: 0, End: last }[event.key];
          if (next === undefined) return;
          event.preventDefault();
          setPicked(Math.min(last, Math.max(0, next)));
        }}
      >
        <svg class="chart" width={width} height={HEIGHT} aria-hidden="true">
          {placed.map((one) => (
            <RunMark key={one.fromMs} run={one} />
          ))}
          {silent.map(({ fromMs, toMs }) => (
            <rect
              key={fromMs}
              x={xOf(fromMs, span, RAIL_LEFT, length)}
              y={LINE_Y - 8}
              width={((toMs - fromMs) / (span.toMs - span.fromMs)) * length}
              height="16"
              fill="var(--ground)"
            />
          ))}
          <path
            d={`M${run.x} 1V${HEIGHT - 1}M${run.x + run.width} 1V${HEIGHT - 1}`}
            stroke="var(--text)"
            stroke-width="2"
          />
        </svg>
      </div>
      <p class="said">
        {timeSpan(run.fromMs, run.toMs, nowMs, zone)}, <b>{VERDICT_WORD[run.kind]}</b>: {run.headline}
      </p>
    </div>
  );
}

function RunMark({ run }: { readonly run: PlacedRun }) {
  const { x, width, kind, hasSign, hasWord } = run;
  return (
    <g class={kind === 'wait' ? 'run soft' : 'run'}>
      <path d={`M${x} ${LINE_Y - 8}v16`} stroke="var(--text-soft)" />
      <RunLine kind={kind} x={x} width={width} />
      {hasSign && (
        <g transform={`translate(${x + 5} 5) scale(0.3125)`}>
          <Silhouette kind={kind} />
        </g>
      )}
      {hasWord && (
        <text x={x + 25} y={18}>
          {VERDICT_WORD[kind]}
        </text>
      )}
    </g>
  );
}

/** Ready: between two lines, as in its window. Waiting: thin. Needs you: an open bar. Can’t tell: broken. */
function RunLine({ kind, x, width }: { readonly kind: VerdictKind; readonly x: number; readonly width: number }) {
  const level = (y: number): string => `M${x} ${y}h${width}`;
  switch (kind) {
    case 'ready':
      return (
        <g stroke="currentColor">
          <path d={level(LINE_Y - 6) + level(LINE_Y + 6)} stroke-width="1.5" />
          <path d={level(LINE_Y)} stroke-width="5" />
        </g>
      );
    case 'wait':
      return <path d={level(LINE_Y)} stroke="currentColor" stroke-width="2" />;
    case 'act':
      return (
        <rect
          x={x + 1}
          y={LINE_Y - 5}
          width={Math.max(0.5, width - 2)}
          height="10"
          fill="var(--ground)"
          stroke="currentColor"
          stroke-width="2.5"
        />
      );
    case 'unknown':
      return <path d={level(LINE_Y)} stroke="currentColor" stroke-width="4" stroke-dasharray="6 5" />;
  }
}

import type { KeptEvent } from '../../../src/contract/event.ts';
import { timeTicks } from '../../format/times.ts';
import { EVENT_WORD } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';

/** Room left and right, as the charts have it (`charts/plot.ts`, which is not loaded for a rail alone). */
const LEFT = 46;
const RIGHT = 10;

export interface Flag {
  readonly x: number;
  readonly label: string;
  readonly row: 0 | 1;
  readonly end: boolean;
  readonly key: string;
}

/** Flags of events under the axis: two rows, and numbers instead of words where there is no room for words. */
export function layOutFlags(events: readonly KeptEvent[], span: Span, width: number): Flag[] {
  const shown = events
    .filter((event) => Date.parse(event.at) >= span.fromMs && Date.parse(event.at) <= span.toMs)
    .sort((a, b) => (a.at < b.at ? -1 : 1));
  const numbered = width < 480 || shown.length > 10;
  const taken: [number, number] = [-1, -1];
  return shown.map((event, index) => {
    const share = (Date.parse(event.at) - span.fromMs) / (span.toMs - span.fromMs);
    const x = LEFT + share * (width - LEFT - RIGHT);
    const word = EVENT_WORD[event.kind].toLowerCase();
    const label = numbered ? String(index + 1) : word;
    const length = numbered ? 16 : word.length * 7.4 + 14;
    const end = !numbered && x + length > width - RIGHT;
    const from = end ? x - length : x;
    const row = from > taken[0] ? 0 : 1;
    taken[row] = from + length + 6;
    return { x, label, row, end, key: event.eventId };
  });
}

/** Time axis and events, drawn to the same edges as the charts above. */
export function EventRail({
  events,
  span,
  width,
  zone,
}: {
  readonly events: readonly KeptEvent[];
  readonly span: Span;
  readonly width: number;
  readonly zone: string;
}) {
  const flags = layOutFlags(events, span, width);
  const rows = flags.some((flag) => flag.row === 1) ? 2 : flags.length > 0 ? 1 : 0;
  const height = rows * 22 + 28;
  const x = (atMs: number): number =>
    LEFT + ((atMs - span.fromMs) / (span.toMs - span.fromMs)) * (width - LEFT - RIGHT);
  return (
    <svg class="chart rail" width={width} height={height} aria-hidden="true">
      {flags.map((flag) => (
        <g key={flag.key}>
          <path d={`M${flag.x} 0V${8 + flag.row * 22}`} stroke="var(--text)" stroke-width="1.5" />
          <rect x={flag.x - 5} y={8 + flag.row * 22} width="10" height="7" fill="var(--text)" />
          <text x={flag.x + (flag.end ? -9 : 9)} y={17 + flag.row * 22} text-anchor={flag.end ? 'end' : 'start'}>
            {flag.label}
          </text>
        </g>
      ))}
      {timeTicks(span.fromMs, span.toMs, zone, width / 90).map((tick) => {
        const at = x(tick.atMs);
        const room = at < width - 44;
        return (
          <g key={tick.atMs}>
            <path d={`M${at} ${height - 22}v6`} stroke="var(--text-soft)" />
            {room && (
              <text class={tick.midnight ? 'strong' : ''} x={at + 4} y={height - 6}>
                {tick.label}
              </text>
            )}
          </g>
        );
      })}
    </svg>
  );
}

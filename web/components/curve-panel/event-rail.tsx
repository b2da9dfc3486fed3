import type { KeptEvent } from '../../../src/contract/event.ts';
import { timeTicks } from '../../format/times.ts';
import { EVENT_WORD } from '../../format/words.ts';
import type { Span } from '../../store/range.ts';

/** Room left and right, as the charts have it (`charts/plot.ts`, which is not loaded for a rail alone). */
export const RAIL_LEFT = 46;
export const RAIL_RIGHT = 10;

export interface Flag {
  readonly x: number;
  readonly label: string;
  readonly row: 0 | 1;
  readonly end: boolean;
  readonly key: string;
}

/** Events within a span, oldest first. */
export function eventsIn(events: readonly KeptEvent[], span: Span): KeptEvent[] {
  return events
    .filter((event) => Date.parse(event.at) >= span.fromMs && Date.parse(event.at) <= span.toMs)
    .sort((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
}

/** Flags under the axis: with words in two rows, or with numbers where the words find no room. */
export function layOutFlags(
  events: readonly KeptEvent[],
  span: Span,
  width: number,
): { readonly flags: readonly Flag[]; readonly numbered: boolean } {
  const shown = eventsIn(events, span);
  const xOf = (event: KeptEvent): number =>
    RAIL_LEFT + ((Date.parse(event.at) - span.fromMs) / (span.toMs - span.fromMs)) * (width - RAIL_LEFT - RAIL_RIGHT);
  const worded = width < 480 ? null : withWords(shown, xOf, width - RAIL_RIGHT);
  return worded === null
    ? { flags: withNumbers(shown, xOf, width - RAIL_RIGHT), numbered: true }
    : { flags: worded, numbered: false };
}

/** Null if a word finds no room in either row. */
function withWords(shown: readonly KeptEvent[], xOf: (event: KeptEvent) => number, right: number): Flag[] | null {
  const taken: [number, number] = [-1, -1];
  const flags: Flag[] = [];
  for (const event of shown) {
    const x = xOf(event);
    const label = EVENT_WORD[event.kind].toLowerCase();
    const length = label.length * 7.4 + 14;
    const end = x + length > right;
    const from = end ? x - length : x - 6;
    const row = from > taken[0] ? 0 : 1;
    if (from <= taken[row]) return null;
    taken[row] = from + length + 10;
    flags.push({ x, label, row, end, key: event.eventId });
  }
  return flags;
}

const FLAG_APART_PX = 30;

/** One flag for events that stand together: "4–6". */
function withNumbers(shown: readonly KeptEvent[], xOf: (event: KeptEvent) => number, right: number): Flag[] {
  const flags: { x: number; first: number; last: number; key: string }[] = [];
  shown.forEach((event, index) => {
    const x = xOf(event);
    const before = flags[flags.length - 1];
    if (before !== undefined && x - before.x < FLAG_APART_PX) before.last = index + 1;
    else flags.push({ x, first: index + 1, last: index + 1, key: event.eventId });
  });
  return flags.map(({ x, first, last, key }) => ({
    x,
    label: first === last ? String(first) : `${first}–${last}`,
    row: 0,
    end: x > right - FLAG_APART_PX,
    key,
  }));
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
  const { flags } = layOutFlags(events, span, width);
  const rows = flags.some((flag) => flag.row === 1) ? 2 : flags.length > 0 ? 1 : 0;
  const height = rows * 22 + 28;
  const x = (atMs: number): number =>
    RAIL_LEFT + ((atMs - span.fromMs) / (span.toMs - span.fromMs)) * (width - RAIL_LEFT - RAIL_RIGHT);
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

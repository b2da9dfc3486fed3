/** The drawing of a replay: window, band, what is in the beer and in the end, flags of events, strip of verdicts. */
import type { ReplayWindow } from '../app/replay.ts';
import type { EventEntry, ReplayLine } from '../contract/index.ts';

interface Content {
  readonly lines: readonly ReplayLine[];
  readonly windows: readonly ReplayWindow[];
  readonly entries: readonly EventEntry[];
}

const WIDTH = 1080;
const HEIGHT = 420;
const LEFT = 44;
const RIGHT = 150;
const STRIP_Y = HEIGHT + 34;
const FLAGS_Y = STRIP_Y + 40;
const FLAG_ROW = 18;
const FLAG_ROWS = 4;
const DAY_MS = 24 * 3600_000;
/** A pixel shows no more than this many points. */
const POINTS_MAX = 1200;

interface Scale {
  x(atMs: number): number;
  y(volumes: number): number;
  readonly topVolumes: number;
  readonly fromMs: number;
  readonly toMs: number;
}

interface Drawn extends ReplayLine {
  readonly atMs: number;
}

/** The curve as SVG. There must be a line. */
export function drawCurve({ lines, windows, entries }: Content): string {
  const every = Math.ceil(lines.length / POINTS_MAX);
  const drawn = lines
    .filter((_, index) => index % every === 0 || index === lines.length - 1)
    .map((line) => ({ ...line, atMs: Date.parse(line.t) }));
  const scale = scaleOf(drawn, windows);
  const height = FLAGS_Y + FLAG_ROWS * FLAG_ROW;
  return `<svg viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="Carbonation by time; the table below holds the numbers">
${windowShapes(windows, scale)}
${axes(scale)}
${bandShape(drawn, scale)}
${path(drawn, scale, 'end', (line) => line.equilibriumVolumes)}
${path(drawn, scale, 'line', (line) => line.dissolvedVolumes)}
${labels(drawn, windows, scale)}
${verdictStrip(drawn, scale)}
${eventFlags(entries, scale)}
</svg>`;
}

function scaleOf(drawn: readonly Drawn[], windows: readonly ReplayWindow[]): Scale {
  const fromMs = drawn[0]?.atMs ?? 0;
  const toMs = Math.max(fromMs + 3600_000, drawn.at(-1)?.atMs ?? fromMs);
  const most = [
    ...drawn.map(({ high, equilibriumVolumes }) => Math.max(high, equilibriumVolumes ?? 0)),
    ...windows.map(({ high }) => high),
  ].reduce((a, b) => Math.max(a, b), 1);
  const topVolumes = Math.ceil((most + 0.1) * 2) / 2;
  return {
    x: (atMs) => LEFT + ((WIDTH - LEFT - RIGHT) * (Math.min(toMs, Math.max(fromMs, atMs)) - fromMs)) / (toMs - fromMs),
    y: (volumes) => HEIGHT - (HEIGHT * Math.max(0, volumes)) / topVolumes,
    topVolumes,
    fromMs,
    toMs,
  };
}

const px = (value: number): string => value.toFixed(1);

function windowShapes(windows: readonly ReplayWindow[], { x, y, toMs }: Scale): string {
  return windows
    .map(({ fromMs, low, high }, index) => {
      const [left, right] = [x(fromMs), x(windows[index + 1]?.fromMs ?? toMs)];
      const rule = (volumes: number) =>
        `<line class="upright" x1="${px(left)}" x2="${px(right)}" y1="${px(y(volumes))}" y2="${px(y(volumes))}"/>`;
      return `<rect class="window" x="${px(left)}" width="${px(right - left)}" y="${px(y(high))}" height="${px(y(low) - y(high))}"/>${rule(low)}${rule(high)}`;
    })
    .join('');
}

function axes({ x, y, topVolumes, fromMs, toMs }: Scale): string {
  const marks: string[] = [`<line class="axis" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${HEIGHT}" y2="${HEIGHT}"/>`];
  for (let volumes = 0; volumes <= topVolumes; volumes += 0.5) {
    marks.push(`<text x="${LEFT - 10}" y="${px(y(volumes) + 5)}" text-anchor="end">${volumes.toFixed(1)}</text>`);
  }
  const days = Math.max(1, Math.ceil((toMs - fromMs) / DAY_MS / 14));
  for (let atMs = Math.ceil(fromMs / DAY_MS) * DAY_MS; atMs <= toMs; atMs += days * DAY_MS) {
    const at = px(x(atMs));
    const day = new Date(atMs).toISOString().slice(5, 10);
    marks.push(`<line class="axis" x1="${at}" x2="${at}" y1="${HEIGHT}" y2="${HEIGHT + 6}"/>`);
    marks.push(`<text x="${at}" y="${HEIGHT + 21}" text-anchor="middle">${day}</text>`);
  }
  return marks.join('');
}

function bandShape(drawn: readonly Drawn[], { x, y }: Scale): string {
  const there = drawn.map(({ atMs, high }) => `${px(x(atMs))},${px(y(high))}`);
  const back = drawn.toReversed().map(({ atMs, low }) => `${px(x(atMs))},${px(y(low))}`);
  return `<polygon class="band" points="${[...there, ...back].join(' ')}"/>`;
}

/** A line that breaks where there is no value. */
function path(drawn: readonly Drawn[], { x, y }: Scale, name: string, of: (line: Drawn) => number | null): string {
  let pen = 'M';
  let d = '';
  for (const line of drawn) {
    const volumes = of(line);
    if (volumes === null) {
      pen = 'M';
      continue;
    }
    d += `${pen}${px(x(line.atMs))} ${px(y(volumes))}`;
    pen = 'L';
  }
  return `<path class="${name}" d="${d}"/>`;
}

/** Names at the right end of what they name, pushed apart where they would lie on each other. */
function labels(drawn: readonly Drawn[], windows: readonly ReplayWindow[], { y }: Scale): string {
  const last = drawn.at(-1);
  const window = windows.at(-1);
  const wished = [
    { text: 'in the beer', volumes: last?.dissolvedVolumes ?? null, strong: true },
    { text: 'in the end', volumes: last?.equilibriumVolumes ?? null, strong: false },
    { text: 'window', volumes: window === undefined ? null : window.high, strong: false },
  ].flatMap(({ text, volumes, strong }) => (volumes === null ? [] : [{ text, at: y(volumes), strong }]));
  let free = Number.NEGATIVE_INFINITY;
  return wished
    .toSorted((a, b) => a.at - b.at)
    .map(({ text, at, strong }) => {
      free = Math.max(at, free + 18);
      return `<text class="halo${strong ? ' strong' : ''}" x="${WIDTH - RIGHT + 10}" y="${px(free + 5)}">${text}</text>`;
    })
    .join('');
}

const WORDS: Readonly<Record<ReplayLine['verdict'], string>> = {
  ready: 'Ready',
  wait: 'Waiting',
  act: 'Needs you',
  unknown: 'Can’t tell',
};

/** Heights of the strip's strokes: the kinds differ without colour too. */
const STROKE: Readonly<Record<ReplayLine['verdict'], { readonly width: number; readonly dash: string }>> = {
  ready: { width: 8, dash: '' },
  wait: { width: 2, dash: '' },
  act: { width: 8, dash: '' },
  unknown: { width: 5, dash: '5 4' },
};

function verdictStrip(drawn: readonly Drawn[], { x }: Scale): string {
  const runs: { verdict: ReplayLine['verdict']; fromMs: number; toMs: number }[] = [];
  for (const { verdict, atMs } of drawn) {
    const run = runs.at(-1);
    if (run !== undefined) run.toMs = atMs;
    if (run?.verdict !== verdict) runs.push({ verdict, fromMs: atMs, toMs: atMs });
  }
  return runs
    .map(({ verdict, fromMs, toMs }) => {
      const [left, right] = [x(fromMs), Math.max(x(toMs), x(fromMs) + 1)];
      const { width, dash } = STROKE[verdict];
      const word = WORDS[verdict];
      const named = right - left > 9 * word.length;
      const line = `<line stroke="currentColor" stroke-width="${width}"${dash === '' ? '' : ` stroke-dasharray="${dash}"`} x1="${px(left)}" x2="${px(right)}" y1="${STRIP_Y}" y2="${STRIP_Y}"/>`;
      return `<g class="${verdict}"><title>${word}</title>${line}${named ? `<text class="word" x="${px(left)}" y="${STRIP_Y + 22}">${word}</text>` : ''}</g>`;
    })
    .join('');
}

/** Flags under the strip, each in the first row that is free; what finds no room is in the list below. */
function eventFlags(entries: readonly EventEntry[], { x, fromMs, toMs }: Scale): string {
  const free = Array.from({ length: FLAG_ROWS }, () => Number.NEGATIVE_INFINITY);
  return entries
    .toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at))
    .filter(({ at }) => Date.parse(at) >= fromMs - DAY_MS && Date.parse(at) <= toMs)
    .map(({ at, kind }) => {
      const left = x(Date.parse(at));
      const text = kind.replaceAll('-', ' ');
      const row = free.findIndex((until) => until <= left);
      const tick = `<line class="flag" x1="${px(left)}" x2="${px(left)}" y1="${HEIGHT}" y2="${row < 0 ? HEIGHT + 8 : FLAGS_Y + row * FLAG_ROW}"/>`;
      if (row < 0) return tick;
      free[row] = left + 8 * text.length + 12;
      return `${tick}<text class="halo" x="${px(left + 4)}" y="${px(FLAGS_Y + row * FLAG_ROW + 4)}">${text}</text>`;
    })
    .join('');
}

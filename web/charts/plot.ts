import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { placeLabel, type Spot } from './label-spot.ts';
import { placeRings } from './ring-spot.ts';

/** What is drawn: lines over a common time axis. Colours are names of custom properties, read from the page. */
export interface PlotSpec {
  readonly lines: readonly PlotLine[];
  /** Soft fill between two lines, by their indexes. */
  readonly bands: readonly { readonly upper: number; readonly lower: number }[];
  /** Horizontal window, in the units of the values. */
  readonly window: { readonly low: number; readonly high: number } | null;
  /** Decimal places of the scale's numbers: its steps are never finer. */
  readonly places: number;
}

export interface PlotLine {
  readonly label: string;
  readonly colour: '--chart-line' | '--chart-line-soft';
  readonly width: number;
  /** Said beside the line; hidden edges of a band say nothing. */
  readonly said: boolean;
}

export interface PlotContent {
  readonly timeS: readonly number[];
  readonly columns: readonly (readonly (number | null)[])[];
  readonly fromMs: number;
  readonly toMs: number;
  /** Instants of the faint uprights. */
  readonly uprightsMs: readonly number[];
  readonly gaps: readonly PlotGap[];
  /** Values that belong to no line, in order of time; the scale does not reach for them. */
  readonly apart: readonly PlotApart[];
}

/** Drawn as an open ring; at the edge, with its value, if it lies outside the scale. */
export interface PlotApart {
  readonly atS: number;
  readonly value: number;
  readonly words: string;
}

export interface PlotGap {
  readonly fromS: number;
  readonly toS: number;
  readonly words: string;
  /** False where some readings came through: then only its edges are drawn. */
  readonly empty: boolean;
}

export interface PlotCalls {
  /** A span chosen by dragging or pinching. */
  onSpan(fromMs: number, toMs: number): void;
  /** The row under the pointer, or null. */
  onRow(index: number | null): void;
}

/** Room left and right of the drawing: the rail of events below must line up with it. */
export const PLOT_LEFT = 46;
export const PLOT_RIGHT = 10;
const SMALLEST_DRAG_PX = 12;
/** Of a scale's height, for rings at its edge: enough in the lowest chart. */
const EDGE_SHARE = 0.18;

/** The one wrapper of the chart library: made once, then fed; gaps stay gaps, nothing is smoothed or animated. */
export class Plot {
  private readonly chart: uPlot;
  private readonly host: HTMLElement;
  private readonly spec: PlotSpec;
  private readonly calls: PlotCalls;
  private content: PlotContent;
  private readonly stopPinch: () => void;

  constructor(host: HTMLElement, spec: PlotSpec, content: PlotContent, size: Size, calls: PlotCalls) {
    this.host = host;
    this.spec = spec;
    this.calls = calls;
    this.content = content;
    this.chart = new uPlot(this.options(size), dataOf(content), host);
    this.stopPinch = watchPinch(this.chart.over, (fromShare, toShare) => {
      const { fromMs, toMs } = this.content;
      const length = toMs - fromMs;
      calls.onSpan(fromMs + fromShare * length, fromMs + toShare * length);
    });
  }

  show(content: PlotContent): void {
    this.content = content;
    this.chart.setData(dataOf(content), false);
    this.chart.setScale('x', { min: content.fromMs / 1000, max: content.toMs / 1000 });
  }

  resize(size: Size): void {
    this.chart.setSize(size);
  }

  /** After a change of colours. */
  redraw(): void {
    this.chart.redraw(true, true);
  }

  /** Puts the cursor on a row, as the arrow keys ask. */
  point(index: number | null): void {
    const at = index === null ? undefined : this.content.timeS[index];
    const left = at === undefined ? -10 : this.chart.valToPos(at, 'x');
    this.chart.setCursor({ left, top: at === undefined ? -10 : 10 }, false);
  }

  destroy(): void {
    this.stopPinch();
    this.chart.destroy();
  }

  private colour(name: string): string {
    return getComputedStyle(this.host).getPropertyValue(name).trim();
  }

  private options(size: Size): uPlot.Options {
    const { spec, content } = this;
    return {
      ...size,
      padding: [8, PLOT_RIGHT, 4, 0],
      legend: { show: false },
      cursor: {
        y: false,
        points: { size: 9, width: 2, fill: () => this.colour('--ground'), stroke: () => this.colour('--chart-line') },
        drag: { x: true, y: false, setScale: false },
      },
      scales: {
        x: { time: true, range: (_, min, max) => [min, max], min: content.fromMs / 1000, max: content.toMs / 1000 },
        y: { range: (_, min, max) => this.valueRange(min, max) },
      },
      axes: [
        { show: false },
        {
          size: PLOT_LEFT,
          stroke: () => this.colour('--text-soft'),
          font: `14px ${this.colour('--font-text')}`,
          gap: 8,
          grid: { show: false },
          ticks: { show: false },
          // Low charts get their labels closer together, so that there are always two: one alone tells no scale.
          space: (_, _axis, _min, _max, height) => Math.min(34, height / 5.4),
          incrs: [1, 2, 5, 10, 20, 50, 100, 200, 500].map((step) => step / 10 ** spec.places),
          values: (_, splits) => splits.map((value) => value.toFixed(spec.places).replace('-', '−')),
        },
      ],
      series: [
        {},
        ...spec.lines.map((line) => ({
          label: line.label,
          width: line.width,
          stroke: () => (line.width === 0 ? 'transparent' : this.colour(line.colour)),
          spanGaps: false,
          points: {
            show: line.width > 0,
            size: 5,
            stroke: () => this.colour(line.colour),
            fill: () => this.colour(line.colour),
            filter: lonelyPoints,
          },
        })),
      ],
      bands: spec.bands.map((band) => {
        const series: uPlot.Band.Bounds = [band.upper + 1, band.lower + 1];
        return { series, fill: () => this.colour('--chart-band') };
      }),
      hooks: {
        drawClear: [(chart) => this.drawGround(chart)],
        draw: [(chart) => this.drawFront(chart)],
        setCursor: [(chart) => this.calls.onRow(chart.cursor.idx ?? null)],
        setSelect: [(chart) => this.takeSelection(chart)],
      },
    };
  }

  /** Room above and below; the window always in sight. */
  private valueRange(min: number | null, max: number | null): [number, number] {
    const window = this.spec.window;
    const low = Math.min(min ?? Number.POSITIVE_INFINITY, window?.low ?? Number.POSITIVE_INFINITY);
    const high = Math.max(max ?? Number.NEGATIVE_INFINITY, window?.high ?? Number.NEGATIVE_INFINITY);
    if (!Number.isFinite(low) || !Number.isFinite(high)) return [0, 1];
    // A value that never moved still needs room for two labels of the finest step.
    const step = 1 / 10 ** this.spec.places;
    const room = Math.max((high - low) * 0.1, Math.abs(high) * 0.01, 0.05, (2.2 * step - (high - low)) / 2);
    // What lies beyond stands at the edge: there the line leaves room for a ring and its words, no more.
    const edge = (high - low + 2 * room) * EDGE_SHARE;
    const below = this.content.apart.some(({ value }) => value < low - room) ? edge : 0;
    const above = this.content.apart.some(({ value }) => value > high + room) ? edge : 0;
    return [low - room - below, high + room + above];
  }

  private takeSelection(chart: uPlot): void {
    const { left, width } = chart.select;
    if (width < SMALLEST_DRAG_PX) return;
    const fromMs = chart.posToVal(left, 'x') * 1000;
    const toMs = chart.posToVal(left + width, 'x') * 1000;
    chart.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
    this.calls.onSpan(fromMs, toMs);
  }

  /** Under the lines: window, faint uprights. */
  private drawGround(chart: uPlot): void {
    const { ctx, bbox } = chart;
    const ratio = uPlot.pxRatio;
    ctx.save();
    const window = this.spec.window;
    const edges = window === null ? [] : [window.high, window.low].map((value) => chart.valToPos(value, 'y', true));
    const [top = 0, bottom = 0] = edges;
    ctx.fillStyle = this.colour('--ground-window');
    ctx.fillRect(bbox.left, top, bbox.width, bottom - top);
    ctx.fillStyle = this.colour('--rule-faint');
    for (const at of this.content.uprightsMs) {
      ctx.fillRect(Math.round(chart.valToPos(at / 1000, 'x', true)), bbox.top, ratio, bbox.height);
    }
    ctx.fillStyle = this.colour('--text');
    for (const y of edges) ctx.fillRect(bbox.left, y - 0.75 * ratio, bbox.width, 1.5 * ratio);
    ctx.restore();
    this.drawGaps(chart);
  }

  /** A gap interrupts the window too, and says its hours where there is room. */
  private drawGaps(chart: uPlot): void {
    const { ctx, bbox } = chart;
    const ratio = uPlot.pxRatio;
    ctx.save();
    ctx.font = `${14 * ratio}px ${this.colour('--font-text')}`;
    plainAlignment(ctx);
    for (const gap of this.content.gaps) {
      const left = Math.max(bbox.left, chart.valToPos(gap.fromS, 'x', true));
      const right = Math.min(bbox.left + bbox.width, chart.valToPos(gap.toS, 'x', true));
      if (right - left < 3 * ratio) continue;
      ctx.fillStyle = this.colour('--ground');
      if (gap.empty) ctx.fillRect(left, bbox.top, right - left, bbox.height);
      ctx.fillStyle = this.colour('--text-soft');
      for (let y = bbox.top; y < bbox.top + bbox.height; y += 6 * ratio) {
        ctx.fillRect(left, y, ratio, 2 * ratio);
        ctx.fillRect(right, y, ratio, 2 * ratio);
      }
      const width = ctx.measureText(gap.words).width;
      if (width + 12 * ratio < right - left) {
        ctx.fillText(gap.words, left + 6 * ratio, bbox.top + bbox.height - 8 * ratio);
      }
    }
    ctx.restore();
  }

  /** The scale's foot line, and the name of each line beside it. */
  private drawFront(chart: uPlot): void {
    const { ctx, bbox } = chart;
    const ratio = uPlot.pxRatio;
    ctx.save();
    plainAlignment(ctx);
    ctx.fillStyle = this.colour('--text');
    ctx.fillRect(bbox.left, bbox.top + bbox.height, bbox.width, 1.5 * ratio);
    ctx.lineJoin = 'round';
    ctx.lineWidth = 5 * ratio;
    ctx.strokeStyle = this.colour('--ground');
    this.spec.lines.forEach((line, index) => {
      ctx.font = `${line.width > 2 ? 700 : 400} ${14 * ratio}px ${this.colour('--font-text')}`;
      const spot = line.said ? this.labelSpot(chart, index) : null;
      if (spot === null) return;
      ctx.fillStyle = this.colour(line.width > 2 ? '--text' : '--text-soft');
      ctx.strokeText(line.label, spot.x, spot.y);
      ctx.fillText(line.label, spot.x, spot.y);
    });
    this.drawApart(chart);
    ctx.restore();
  }

  private drawApart(chart: uPlot): void {
    const { ctx, bbox } = chart;
    const ratio = uPlot.pxRatio;
    const { left, top, width, height } = bbox;
    ctx.font = `400 ${14 * ratio}px ${this.colour('--font-text')}`;
    const rings = placeRings({
      ratio,
      points: this.content.apart.map(({ atS, value, words }) => ({
        x: chart.valToPos(atS, 'x', true),
        y: chart.valToPos(value, 'y', true),
        words,
        width: ctx.measureText(words).width,
      })),
      box: { left, right: left + width, top, bottom: top + height },
    });
    for (const { x, y, radius, label } of rings) {
      ctx.beginPath();
      ctx.arc(x, y, radius, 0, 2 * Math.PI);
      ctx.lineWidth = 1.5 * ratio;
      ctx.fillStyle = this.colour('--ground');
      ctx.strokeStyle = this.colour('--chart-line');
      ctx.fill();
      ctx.stroke();
      if (label === null) continue;
      ctx.lineWidth = 5 * ratio;
      ctx.strokeStyle = this.colour('--ground');
      ctx.strokeText(label.words, label.x, label.y);
      ctx.fillStyle = this.colour('--text-soft');
      ctx.fillText(label.words, label.x, label.y);
    }
  }

  /** Where the name of a line stands; the context must hold its font already. */
  private labelSpot(chart: uPlot, line: number): Spot | null {
    const { timeS, columns } = this.content;
    const { left, top, width, height } = chart.bbox;
    const { window } = this.spec;
    const heights = (index: number): (number | null)[] =>
      (columns[index] ?? []).map((value) => (value === null ? null : chart.valToPos(value, 'y', true)));
    return placeLabel({
      ratio: uPlot.pxRatio,
      xs: timeS.map((at) => chart.valToPos(at, 'x', true)),
      own: heights(line),
      others: this.spec.lines.flatMap((other, index) => (index === line || other.width === 0 ? [] : [heights(index)])),
      levels: window === null ? [] : [window.low, window.high].map((value) => chart.valToPos(value, 'y', true)),
      box: { left, right: left + width, top, bottom: top + height },
      textWidth: chart.ctx.measureText(this.spec.lines[line]?.label ?? '').width,
      shares: line === 0 ? [0.6, 0.75, 0.45, 0.3, 0.85, 0.15] : [0.3, 0.2, 0.45, 0.6, 0.75, 0.05],
      side: line === 0 ? 'above' : 'below',
    });
  }
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** A line shorter than this is no more than a speck. */
const SPECK_PX = 6;

/** Values with a gap on both sides have no line, and those of a few minutes only a speck: a dot keeps them in sight. */
function lonelyPoints(chart: uPlot, seriesIndex: number): number[] {
  const column = chart.data[seriesIndex] ?? [];
  const times = chart.data[0];
  const found: number[] = [];
  for (let index = 0; index < column.length; index += 1) {
    if (column[index] == null || column[index - 1] != null) continue;
    let end = index;
    while (column[end + 1] != null) end += 1;
    const length = chart.valToPos(times[end] ?? 0, 'x') - chart.valToPos(times[index] ?? 0, 'x');
    if (length < SPECK_PX) found.push(end);
  }
  return found;
}

/** The library leaves the alignment of its own axis labels behind: a name drawn so stands half its width off its place. */
function plainAlignment(ctx: CanvasRenderingContext2D): void {
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
}

function dataOf(content: PlotContent): uPlot.AlignedData {
  return [[...content.timeS], ...content.columns.map((column) => [...column])];
}

/** Two fingers: what lies between them at the end is what lay between them at the start. */
function watchPinch(element: HTMLElement, onPinch: (fromShare: number, toShare: number) => void): () => void {
  let start: readonly [number, number] | null = null;
  let end: readonly [number, number] | null = null;
  const places = (event: TouchEvent): readonly [number, number] | null => {
    const [a, b] = [event.touches[0], event.touches[1]];
    if (a === undefined || b === undefined) return null;
    const { left, width } = element.getBoundingClientRect();
    const shares = [(a.clientX - left) / width, (b.clientX - left) / width] as const;
    return [Math.min(...shares), Math.max(...shares)];
  };
  const begin = (event: TouchEvent): void => {
    start = places(event);
    end = start;
  };
  const move = (event: TouchEvent): void => {
    if (start === null) return;
    event.preventDefault();
    end = places(event) ?? end;
  };
  const finish = (): void => {
    if (start === null || end === null) return;
    const scale = (start[1] - start[0]) / Math.max(0.02, end[1] - end[0]);
    const middle = (start[0] + start[1]) / 2;
    const from = middle - ((end[0] + end[1]) / 2) * scale;
    start = null;
    end = null;
    if (Math.abs(scale - 1) > 0.05) onPinch(from, from + scale);
  };
  element.addEventListener('touchstart', begin, { passive: true });
  element.addEventListener('touchmove', move, { passive: false });
  element.addEventListener('touchend', finish);
  return () => {
    element.removeEventListener('touchstart', begin);
    element.removeEventListener('touchmove', move);
    element.removeEventListener('touchend', finish);
  };
}

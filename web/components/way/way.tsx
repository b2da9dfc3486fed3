import type { Units } from '../../../src/contract/catalogue.ts';
import { carbonation, carbonationNumber, carbonationUnit } from '../../format/numbers.ts';
import { useSize } from '../use-size.ts';
import { layOutWay, lensPath, NARROW_PX, type WayFacts, type WayLayout } from './layout.ts';
import './way.css';

interface Props extends WayFacts {
  readonly units: Units;
  /** The values are too old to believe: lenses become outlines, the uprights fade. */
  readonly old: boolean;
  /** Said under an old number: "last at 14:02". */
  readonly lastAt: string;
  readonly ambient: boolean;
  readonly act: boolean;
}

/** Below this width of its own a way is drawn small, under the words of its row. */
const SMALL_PX = 420;

/** A way this narrow, as while a page is being laid out, has no room for its uprights. */
const LEAST_PX = 80;

/** The way of a keg to its window: two uprights, the lens of what is in the beer, and where it is heading. */
export function Way(props: Props) {
  const [ref, size] = useSize<HTMLDivElement>();
  return (
    <div class="way" ref={ref}>
      {size !== null && size.width > LEAST_PX && <Drawing {...props} width={size.width} height={size.height} />}
    </div>
  );
}

interface Drawn extends Props {
  readonly width: number;
  readonly height: number;
}

function Drawing(props: Drawn) {
  const { width, height, units, low, high, old, ambient } = props;
  const small = height < 130 && width < 720;
  const marginRight = width < SMALL_PX ? 20 : Math.min(44, Math.max(20, window.innerWidth * 0.032));
  const layout = layOutWay(atShownDigits(props), { width, small, ambient, marginRight });
  const y = small
    ? props.dissolved === null
      ? 70
      : 62
    : Math.round(height * (props.dissolved === null ? 0.58 : 0.53));
  const top = small ? 10 : 0;
  const bottom = small ? 90 : height;
  const footY = small ? 108 : height - 12;
  return (
    <svg class="chart" width={width} height={height} role="img" aria-label={waySentence(props)}>
      <rect
        x={layout.windowLeft}
        y={top}
        width={layout.windowRight - layout.windowLeft}
        height={bottom - top}
        fill="var(--ground-window)"
      />
      {[layout.windowLeft, layout.windowRight].map((x) => (
        <rect key={x} x={x - 1.5} y={top} width="3" height={bottom - top} fill="var(--text)" opacity={old ? 0.45 : 1} />
      ))}
      <path d={`M${layout.railLeft} ${y}H${layout.railRight}`} stroke="var(--rule)" />
      <Marks {...props} layout={layout} y={y} small={small} />
      <text x={layout.windowLeft - 8} y={footY} text-anchor="end">
        {carbonationNumber(low, units)}
      </text>
      <text x={layout.windowRight + 8} y={footY}>
        {ambient ? carbonationNumber(high, units) : carbonation(high, units)}
      </text>
      {layout.ends.left !== null && (
        <text x={layout.railLeft} y={footY}>
          {carbonationNumber(layout.ends.left, units)}
        </text>
      )}
      {layout.ends.right !== null && (
        <text x={layout.railRight} y={footY} text-anchor="end">
          {carbonationNumber(layout.ends.right, units)}
        </text>
      )}
    </svg>
  );
}

/** Things move only when a shown number does: values between two digits do not make a lens tremble. */
function atShownDigits({ low, high, dissolved, equilibriumVolumes }: WayFacts): WayFacts {
  const shown = (volumes: number): number => Math.round(volumes * 100) / 100;
  return {
    low,
    high,
    dissolved:
      dissolved === null
        ? null
        : { volumes: shown(dissolved.volumes), low: shown(dissolved.low), high: shown(dissolved.high) },
    equilibriumVolumes: equilibriumVolumes === null ? null : shown(equilibriumVolumes),
  };
}

interface Marked extends Drawn {
  readonly layout: WayLayout;
  readonly y: number;
  readonly small: boolean;
}

function Marks(props: Marked) {
  const { layout, y, small, old, ambient, width } = props;
  const tall = small ? 15 : ambient ? 26 : 20;
  return (
    <>
      {layout.arrow !== null && !old && <Arrow {...props} arrow={layout.arrow} />}
      {layout.lens !== null && (
        <g class="drift" style={{ transform: `translateX(${layout.lens.slit}px)` }}>
          <path
            class={old ? 'outline old' : 'solid'}
            d={lensPath(layout.lens.left - layout.lens.slit, layout.lens.right - layout.lens.slit, y, tall)}
          />
          {!old && <path d={`M0 ${y - tall + 5}V${y + tall - 5}`} stroke="var(--ground)" stroke-width="2" />}
        </g>
      )}
      {layout.ghost !== null && (
        <g class="drift" style={{ transform: `translateX(${layout.ghost.x}px)` }}>
          {layout.ghost.beyond === 0 ? (
            <path class={`outline${old ? ' old' : ''}`} d={lensPath(-20, 20, y, tall - 4)} />
          ) : (
            <path class="chevron" d={chevron(layout.ghost.beyond * 12, y, layout.ghost.beyond)} />
          )}
        </g>
      )}
      <Numbers {...props} tall={tall} narrow={width < NARROW_PX} />
    </>
  );
}

function Arrow({
  arrow,
  y,
  ambient,
  small,
  act,
  layout,
  units,
  equilibriumVolumes,
  width,
}: Marked & {
  readonly arrow: NonNullable<WayLayout['arrow']>;
}) {
  const side = arrow.to > arrow.from ? 1 : -1;
  const right = layout.heading?.anchor === 'start';
  const beyond = arrow.to > layout.windowRight;
  return (
    <>
      <path class="dotted" d={`M${arrow.from} ${y}H${arrow.to - 8 * side}`} />
      <path class="chevron" d={chevron(arrow.to, y, side)} />
      {layout.heading !== null && equilibriumVolumes !== null && !ambient && (!small || act) && (
        <text
          class={act ? 'heading act' : 'heading'}
          x={layout.heading.x}
          y={y + (right && beyond ? (small ? -16 : 30) : -13)}
          text-anchor={layout.heading.anchor}
        >
          {width < NARROW_PX ? 'to' : 'heading for'} {carbonationNumber(equilibriumVolumes, units)}
        </text>
      )}
    </>
  );
}

function Numbers(props: Marked & { readonly tall: number; readonly narrow: boolean }) {
  const { layout, y, tall, small, old, ambient, units, dissolved, equilibriumVolumes, lastAt } = props;
  const shown = dissolved?.volumes ?? equilibriumVolumes;
  if (shown === null) {
    return (
      <text x={layout.numberX} y={y - 12} text-anchor="middle" class="halo">
        not known
      </text>
    );
  }
  const size = small ? 26 : ambient ? 44 : 34;
  const below = old ? lastAt : dissolved === null ? null : ambient ? carbonationUnit(units) : rangeText(props);
  const numberY = y - tall - (small ? 8 : 12);
  return (
    <>
      {!old && dissolved === null && (
        <text class="under" x={layout.numberX} y={numberY - size * 0.78 - 5} text-anchor="middle">
          {small ? 'in the end' : 'heading for'}
        </text>
      )}
      <text
        class={`figure${old ? ' old' : dissolved === null ? ' ghost' : ' strong'}`}
        x={layout.numberX}
        y={numberY}
        text-anchor="middle"
        style={{ fontSize: `${size}px` }}
      >
        {carbonationNumber(shown, units)}
      </text>
      {!small && below !== null && (
        <text x={layout.numberX} y={y + tall + 22} text-anchor="middle" class="under">
          {below}
        </text>
      )}
    </>
  );
}

const chevron = (x: number, y: number, side: number): string =>
  `M${x - 11 * side} ${y - 9}L${x} ${y}L${x - 11 * side} ${y + 9}`;

const rangeText = ({ dissolved, units }: Props): string =>
  dissolved === null ? '' : `${carbonationNumber(dissolved.low, units)} to ${carbonationNumber(dissolved.high, units)}`;

/** The drawing in one sentence, for those who do not see it. */
export function waySentence({ dissolved, equilibriumVolumes, low, high, units, old }: Props): string {
  const was = old ? 'Old values: ' : '';
  const beer =
    dissolved === null
      ? 'What is in the beer is not known yet.'
      : `In the beer ${carbonation(dissolved.volumes, units)}, nine times in ten ${carbonationNumber(dissolved.low, units)} to ${carbonationNumber(dissolved.high, units)}.`;
  const end = equilibriumVolumes === null ? '' : ` Heading for ${carbonation(equilibriumVolumes, units)}.`;
  return `${was}${beer}${end} Window ${carbonationNumber(low, units)} to ${carbonation(high, units)}.`;
}

import type { Units } from '../../../src/contract/catalogue.ts';
import {
  carbonationFromVolumes,
  digits,
  niceTicks,
  pressureFromKpa,
  pressureToKpa,
  pressureUnit,
  temperatureFromC,
  temperatureToC,
  temperatureUnit,
  tickText,
} from '../../format/numbers.ts';
import {
  contour,
  contourLevels,
  type Extent,
  fillRegion,
  freezingC,
  type LineUnit,
  type MapFacts,
  type Point,
  pressureFor,
} from './geometry.ts';
import { meetsWords, type Words } from './layout.ts';
import { type Projection, pathOf } from './projection.ts';

interface Drawn extends MapFacts {
  readonly extent: Extent;
  readonly projection: Projection;
  readonly units: Units;
}

/** A line every 0.1 volumes, or every 0.2 g/L: about as far apart, and round numbers in both. */
const lineUnit = (units: Units): LineUnit =>
  units.carbonation === 'volumes'
    ? { step: 0.1, perVolume: 1 }
    : { step: 0.2, perVolume: carbonationFromVolumes(1, units) };

/** Window band, freezing edge and the outlined place to fill from. */
export function Ground(props: Drawn) {
  const { extent, projection, target, abvPercent } = props;
  const { left, top, bottom, right } = projection;
  const band = [...contour(target.high, extent, props), ...contour(target.low, extent, props).reverse()];
  const iceX = Math.min(right, Math.max(left, projection.x(freezingC(abvPercent))));
  return (
    <>
      <defs>
        <clipPath id="map-clip">
          <rect x={left} y={top} width={right - left} height={bottom - top} />
        </clipPath>
        <pattern id="map-ice" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(-35)">
          <path d="M0 0V7" stroke="var(--chart-hatch)" stroke-width="1.6" />
        </pattern>
      </defs>
      <g clip-path="url(#map-clip)">
        <path d={`${pathOf(band, projection)}Z`} fill="var(--ground-window)" />
        {contourLevels(extent, props, lineUnit(props.units)).map((level) => (
          <path
            key={level.steps}
            class={level.steps % 5 === 0 ? 'contour strong-line' : 'contour'}
            d={pathOf(contour(level.volumes, extent, props), projection)}
          />
        ))}
        <rect x={left} y={top} width={Math.max(0, iceX - left)} height={bottom - top} fill="var(--ground)" />
        <rect x={left} y={top} width={Math.max(0, iceX - left)} height={bottom - top} fill="url(#map-ice)" />
        <path d={ragged(iceX, top, bottom)} fill="none" stroke="var(--text)" stroke-width="2" />
        <FillFrom {...props} />
      </g>
      {iceX - left > 16 && (
        <text class="halo" text-anchor="end" transform={`translate(${iceX - 8} ${top + 12}) rotate(-90)`}>
          beer freezes
        </text>
      )}
    </>
  );
}

function FillFrom(props: Drawn) {
  const region = fillRegion(props);
  if (region.length === 0) return null;
  return <path class="fill-from" d={`${pathOf(region, props.projection)}Z`} />;
}

/** A line that is never straight: ice has no ruler. */
function ragged(x: number, top: number, bottom: number): string {
  const OFFSETS = [0, 3, -2, 2, -3, 1];
  let path = `M${x.toFixed(1)} ${top}`;
  for (let y = top, index = 0; y < bottom; y += 7, index += 1) {
    path += `L${(x + (OFFSETS[index % OFFSETS.length] ?? 0)).toFixed(1)} ${y + 7}`;
  }
  return path;
}

/** Numbers set into the lines, near the right and the upper edge, as on a hill map. */
export function Lines(props: Drawn & { readonly words: Words | null }) {
  const { extent, projection, target, units, words } = props;
  const spacing = lineSpacing(props);
  const every = spacing > 24 ? 1 : spacing > 12 ? 2 : 5;
  const levels = contourLevels(extent, props, lineUnit(units)).filter(({ steps }) => steps % every === 0);
  return (
    <>
      {levels.map(({ steps, shown, volumes: level }) => {
        const spot = labelSpot(level, props);
        if (spot === null) return null;
        const y = projection.y(spot.kpaGauge);
        const x = projection.x(spot.celsius);
        if (meetsWords(words, x, y)) return null;
        const inside = level >= target.low && level <= target.high;
        return (
          <text
            key={steps}
            class={`halo${inside ? ' in-window' : ''}`}
            x={x}
            y={y + 4.5}
            text-anchor="middle"
            transform={`rotate(${lineAngle(level, spot, props).toFixed(1)} ${x.toFixed(1)} ${y.toFixed(1)})`}
          >
            {digits(shown, 1)}
          </text>
        );
      })}
    </>
  );
}

/** Pixels between two lines a tenth apart, measured across them at the middle of the map. */
function lineSpacing(props: Drawn): number {
  const { extent, projection, target } = props;
  const at = (extent.coldC + extent.warmC) / 2;
  const lower = pressureFor(target.volumes, at, props);
  const rise = projection.y(lower) - projection.y(pressureFor(target.volumes + 0.1, at, props));
  return rise * Math.cos((lineAngle(target.volumes, { celsius: at, kpaGauge: lower }, props) * Math.PI) / 180);
}

/** Near the right edge, or near the top for lines that leave there; null where there is no room. */
function labelSpot(level: number, props: Drawn): Point | null {
  const { extent, projection, abvPercent } = props;
  const perPixelC = (extent.warmC - extent.coldC) / (projection.right - projection.left);
  const perPixelKpa = (extent.highKpa - extent.lowKpa) / (projection.bottom - projection.top);
  const highest = extent.highKpa - 18 * perPixelKpa;
  const lowest = extent.lowKpa + 16 * perPixelKpa;
  const coldest = freezingC(abvPercent) + 24 * perPixelC;
  for (let celsius = extent.warmC - 34 * perPixelC; celsius > coldest; celsius -= 2 * perPixelC) {
    const kpaGauge = pressureFor(level, celsius, props);
    if (kpaGauge < lowest) return null;
    if (kpaGauge <= highest) return { celsius, kpaGauge };
  }
  return null;
}

function lineAngle(level: number, spot: Point, props: Drawn): number {
  const { projection } = props;
  const d = 0.2;
  const dy =
    projection.y(pressureFor(level, spot.celsius + d, props)) -
    projection.y(pressureFor(level, spot.celsius - d, props));
  return (Math.atan2(dy, projection.x(spot.celsius + d) - projection.x(spot.celsius - d)) * 180) / Math.PI;
}

/** Frame and scales in the reader's units. */
export function Axes({ extent, projection, units }: Pick<Drawn, 'extent' | 'projection' | 'units'>) {
  const { left, right, top, bottom, height } = projection;
  const warm = niceTicks(
    temperatureFromC(extent.coldC, units),
    temperatureFromC(extent.warmC, units),
    Math.max(5, (right - left) / 60),
  );
  const high = niceTicks(
    pressureFromKpa(extent.lowKpa, units),
    pressureFromKpa(extent.highKpa, units),
    (bottom - top) / 56,
  );
  const warmStep = (warm[1] ?? 1) - (warm[0] ?? 0);
  const highStep = (high[1] ?? 1) - (high[0] ?? 0);
  return (
    <>
      <rect class="frame" x={left} y={top} width={right - left} height={bottom - top} />
      {warm.map((tick) => {
        const x = projection.x(temperatureToC(tick, units));
        return (
          <g key={tick}>
            <path d={`M${x} ${bottom}v6`} stroke="var(--text)" />
            <text x={x} y={bottom + 21} text-anchor="middle">
              {tickText(tick, warmStep)}
            </text>
          </g>
        );
      })}
      {high.map((tick) => {
        const y = projection.y(pressureToKpa(tick, units));
        return (
          <g key={tick}>
            <path d={`M${left} ${y}h-6`} stroke="var(--text)" />
            {y > top + 18 && (
              <text x={left - 10} y={y + 5} text-anchor="end">
                {tickText(tick, highStep)}
              </text>
            )}
          </g>
        );
      })}
      <text x={right} y={height - 2} text-anchor="end">
        beer temperature, {temperatureUnit(units)}
      </text>
      <text x={left - 10} y={top + 6} text-anchor="end">
        {pressureUnit(units)}
      </text>
    </>
  );
}

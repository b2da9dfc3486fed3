import type { Extent, Point } from './geometry.ts';

/** Turns map points into pixels and back. */
export interface Projection {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly small: boolean;
  x(celsius: number): number;
  y(kpaGauge: number): number;
  unproject(x: number, y: number): Point | null;
}

interface Margin {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export function project(
  extent: Extent,
  size: { readonly width: number; readonly height: number },
  margin: Margin,
): Projection {
  const { width, height } = size;
  const left = margin.left;
  const right = width - margin.right;
  const top = margin.top;
  const bottom = height - margin.bottom;
  const warmth = extent.warmC - extent.coldC;
  const rise = extent.highKpa - extent.lowKpa;
  return {
    width,
    height,
    left,
    right,
    top,
    bottom,
    small: width < 480,
    x: (celsius) => left + ((celsius - extent.coldC) / warmth) * (right - left),
    y: (kpaGauge) => top + ((extent.highKpa - kpaGauge) / rise) * (bottom - top),
    unproject: (x, y) =>
      x < left || x > right || y < top || y > bottom
        ? null
        : {
            celsius: extent.coldC + ((x - left) / (right - left)) * warmth,
            kpaGauge: extent.highKpa - ((y - top) / (bottom - top)) * rise,
          },
  };
}

/** An SVG path through map points. */
export function pathOf(points: readonly Point[], projection: Projection): string {
  return points
    .map(
      (point, index) =>
        `${index === 0 ? 'M' : 'L'}${projection.x(point.celsius).toFixed(1)} ${projection.y(point.kpaGauge).toFixed(1)}`,
    )
    .join('');
}

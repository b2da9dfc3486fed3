import { pressure, temperature } from '../../format/numbers.ts';
import type { MapProps } from './carbonation-map.tsx';
import { type Point, type Setting, trailAt, trailPieces } from './geometry.ts';
import { type Projection, pathOf } from './projection.ts';

type Drawn = MapProps & { readonly projection: Projection };

/** Where the keg was: a ring at each midnight, dotted while the gas was closed, broken where nothing was heard. */
export function Trail({
  trail,
  closed,
  midnights,
  projection,
  now,
  setting,
}: Drawn & { readonly setting: Setting | null }) {
  const pieces = trailPieces(trail, closed);
  const rings = placeRings(midnights, trail, projection, [now, setting]);
  return (
    <>
      <g clip-path="url(#map-clip)">
        {pieces.map((piece, index) => (
          <path key={`under-${index}`} class="trail-under" d={pathOf(piece.points, projection)} />
        ))}
        {pieces.map((piece, index) => (
          <path
            key={`over-${index}`}
            class={piece.closed ? 'trail closed' : 'trail'}
            d={pathOf(piece.points, projection)}
          />
        ))}
        {rings.map((ring) => (
          <circle key={ring.atMs} class="ring" cx={ring.x} cy={ring.y} r="4.5" />
        ))}
      </g>
      {rings
        .filter((ring) => ring.labelled)
        .map((ring) => (
          <text key={ring.atMs} class="halo day" x={ring.x} y={ring.y - 11} text-anchor="middle">
            {ring.label}
          </text>
        ))}
    </>
  );
}

/** Rings that stand on one another share a label: the later day says it. */
function placeRings(
  midnights: Drawn['midnights'],
  trail: Drawn['trail'],
  projection: Projection,
  others: readonly (Point | null)[],
) {
  const taken = others
    .filter((point) => point !== null)
    .map((point) => ({ x: projection.x(point.celsius), y: projection.y(point.kpaGauge) }));
  const placed: { atMs: number; label: string; x: number; y: number; labelled: boolean }[] = [];
  for (const { atMs, label } of [...midnights].reverse()) {
    const at = trailAt(trail, atMs);
    if (at === null) continue;
    const x = projection.x(at.celsius);
    const y = projection.y(at.kpaGauge);
    const free = taken.every((other) => Math.abs(other.x - x) > 30 || Math.abs(other.y - y) > 24);
    const inside = x > projection.left && x < projection.right && y > projection.top + 14 && y < projection.bottom;
    if (free) taken.push({ x, y });
    placed.push({ atMs, label, x, y, labelled: free && inside });
  }
  return placed;
}

/** The ring with a dot: here and now. */
export function Now({ now, units, projection, gasWord, old, abvPercent: _, ...props }: Drawn) {
  if (now === null) return null;
  const x = projection.x(now.celsius);
  const y = projection.y(now.kpaGauge);
  const right = x < projection.left + (projection.right - projection.left) * 0.55;
  const words = projection.small
    ? `now ${temperature(now.celsius, units)}, ${pressure(now.kpaGauge, units)}`
    : `${old ? 'last' : 'now'}: ${temperature(now.celsius, units)}, ${pressure(now.kpaGauge, units)}, ${gasWord}`;
  const above = y > projection.top + 36 && !(props.act && y < projection.bottom - 60);
  return (
    <>
      <circle class="now-ring" cx={x} cy={y} r="10" />
      {!old && <circle cx={x} cy={y} r="4.5" fill="var(--text)" />}
      <text
        class="halo strong now-words"
        x={x + (right ? 16 : -16)}
        y={above || y > projection.bottom - 40 ? y - 14 : y + 26}
        text-anchor={right ? 'start' : 'end'}
      >
        {words}
      </text>
    </>
  );
}

/** From the ring to the setting that holds the target: bowed to the free side, with the setting in words. */
export function SettingArrow({
  now,
  setting,
  projection,
  act,
  units,
  old,
}: Drawn & { readonly setting: Setting | null }) {
  if (now === null || setting === null || old) return null;
  const from = { x: projection.x(now.celsius), y: projection.y(now.kpaGauge) };
  const to = {
    x: projection.x(setting.celsius),
    y: Math.min(projection.bottom - 10, Math.max(projection.top + 10, projection.y(setting.kpaGauge))),
  };
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const roomLeft = Math.min(from.x, to.x) - projection.left > (projection.small ? 96 : 130);
  const side = roomLeft ? -1 : 1;
  const bow = Math.min(projection.small ? 34 : 54, 12 + length * 0.35);
  const down = to.y > from.y ? 1 : -1;
  const endX = to.x + 11 * side;
  const endY = to.y - 9 * down;
  const curve = `M${from.x + 13 * side} ${from.y + 4 * down}C${from.x + bow * side} ${from.y + length * 0.3 * down} ${to.x + bow * side} ${to.y - length * 0.3 * down} ${endX} ${endY}`;
  const words = act
    ? ['turn to', pressure(setting.kpaGauge, units)]
    : [setting.whenCold ? 'when cold,' : 'to hold it,', pressure(setting.kpaGauge, units)];
  const labelX = (from.x + to.x) / 2 + (bow * 0.76 + 9) * side;
  const labelY = (from.y + to.y) / 2 - 4;
  return (
    <g class={act ? 'arrow act' : 'arrow'}>
      {length > 44 && (
        <>
          <path class="arrow-under" d={curve} />
          <path class="arrow-line" d={curve} />
          <path
            class="arrow-line"
            d={`M${endX + 13 * side} ${endY - 3 * down}L${endX} ${endY}L${endX + 2 * side} ${endY - 15 * down}`}
          />
        </>
      )}
      <circle class="arrow-end" cx={to.x} cy={to.y} r="7" />
      {words.map((word, index) => (
        <text
          key={word}
          class="halo arrow-words"
          x={labelX}
          y={labelY + index * 20}
          text-anchor={side < 0 ? 'end' : 'start'}
        >
          {word}
        </text>
      ))}
    </g>
  );
}

/** The reader's cursor. */
export function Cross({ point, projection }: { readonly point: Point; readonly projection: Projection }) {
  const x = projection.x(point.celsius);
  const y = projection.y(point.kpaGauge);
  return (
    <path
      class="cross"
      d={`M${projection.left} ${y}H${projection.right}M${x} ${projection.top}V${projection.bottom}`}
    />
  );
}

import type { Arrow } from './arrow-layout.ts';
import { type Point, trailPieces } from './geometry.ts';
import type { Placed, Ring, Words } from './layout.ts';
import type { MapProps } from './map-props.ts';
import { type Projection, pathOf } from './projection.ts';

type Drawn = MapProps & { readonly projection: Projection };

/** Where the keg was: a ring at each midnight, dotted while the gas was closed, broken where nothing was heard. */
export function Trail({ trail, closed, projection, rings }: Drawn & { readonly rings: readonly Ring[] }) {
  const pieces = trailPieces(trail, closed);
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

/** The name of the outlined place, over all lines. */
export function FillWords({ placed }: { readonly placed: Placed | null }) {
  if (placed === null) return null;
  return (
    <text class="halo strong" x={placed.x} y={placed.y} text-anchor={placed.anchor}>
      fill from here
    </text>
  );
}

/** The ring with a dot: here and now. */
export function Now({ now, projection, old, words }: Drawn & { readonly words: Words | null }) {
  if (now === null || words === null) return null;
  const x = projection.x(now.celsius);
  const y = projection.y(now.kpaGauge);
  return (
    <>
      <circle class="now-ring" cx={x} cy={y} r="10" />
      {!old && <circle cx={x} cy={y} r="4.5" fill="var(--text)" />}
      <text class="halo strong now-words" x={words.x} y={words.y} text-anchor={words.anchor}>
        {words.text}
      </text>
    </>
  );
}

/** From the ring to the advised setting, with the setting in words. */
export function SettingArrow({ arrow, act }: { readonly arrow: Arrow | null; readonly act: boolean }) {
  if (arrow === null) return null;
  return (
    <g class={act ? 'arrow act' : 'arrow'}>
      {arrow.long && (
        <>
          <path class="arrow-under" d={arrow.curve} />
          <path class="arrow-line" d={arrow.curve} />
          <path class="arrow-line" d={arrow.tip} />
        </>
      )}
      <circle class="arrow-end" cx={arrow.end.x} cy={arrow.end.y} r="7" />
      {arrow.words.map((word, index) => (
        <text
          key={word}
          class="halo arrow-words"
          x={arrow.wordsX}
          y={arrow.wordsY + index * 20}
          text-anchor={arrow.anchor}
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

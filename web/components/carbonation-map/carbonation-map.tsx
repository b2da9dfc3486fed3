import { useState } from 'preact/hooks';
import { carbonation, carbonationNumber, pressure, pressureUnit, temperature } from '../../format/numbers.ts';
import { AMBIENT_WORD } from '../../format/words.ts';
import { useSize } from '../use-size.ts';
import './carbonation-map.css';
import {
  ASSUMED_ABV_PERCENT,
  type Extent,
  fillRegion,
  mapExtent,
  type Point,
  pressureFor,
  settingFor,
  volumesAt,
} from './geometry.ts';
import { Axes, Ground, Lines } from './ground.tsx';
import { layOutMap } from './layout.ts';
import type { MapProps } from './map-props.ts';
import { Cross, FillWords, Now, SettingArrow, Trail } from './marks.tsx';
import { type Projection, project } from './projection.ts';

const MARGIN = { left: 40, right: 8, top: 10, bottom: 42 } as const;

/** The carbonation map: temperature across, pressure up, and where on it the keg stands, came from and should go. */
export function CarbonationMap(props: MapProps) {
  const [ref, size] = useSize<HTMLDivElement>();
  const [cross, setCross] = useState<Point | null>(null);
  const extent = mapExtent(props);
  const start = props.now ?? { celsius: props.target.celsius, kpaGauge: 60 };
  const projection = size === null ? null : project(extent, size, MARGIN);
  return (
    <>
      {/* A slider is the role whose arrow keys and spoken value fit a cursor on a map. */}
      <div
        class="map-field"
        ref={ref}
        role="slider"
        tabIndex={0}
        aria-label="Cursor on the carbonation map. Arrow keys move it."
        aria-valuenow={Math.round((cross ?? start).celsius * 10) / 10}
        aria-valuetext={cross === null ? mapSentence(props) : crossSentence(cross, props)}
        onKeyDown={(event) => {
          const moved = event.key === 'Escape' ? null : moveCross(cross ?? start, event.key, extent);
          if (moved === undefined) return;
          event.preventDefault();
          setCross(moved);
        }}
        onPointerDown={(event) => setCross(projection?.unproject(event.offsetX, event.offsetY) ?? null)}
        onPointerMove={(event) => {
          if (event.pointerType === 'mouse') setCross(projection?.unproject(event.offsetX, event.offsetY) ?? null);
        }}
        onPointerLeave={(event) => event.pointerType === 'mouse' && setCross(null)}
        onBlur={() => setCross(null)}
      >
        {projection !== null && projection.width > 120 && projection.height > 80 && (
          <svg class="chart" width={projection.width} height={projection.height} aria-hidden="true">
            <Drawing {...props} extent={extent} projection={projection} />
            {cross !== null && <Cross point={cross} projection={projection} />}
          </svg>
        )}
      </div>
      <p class="key note">{cross === null ? <Legend {...props} /> : crossSentence(cross, props)}</p>
      <MapTable {...props} />
    </>
  );
}

function Drawing(props: MapProps & { readonly extent: Extent; readonly projection: Projection }) {
  const { words, rings, arrow, fillWords } = layOutMap(props);
  return (
    <>
      <Ground {...props} />
      <Lines {...props} words={words} />
      <Trail {...props} rings={rings} />
      <SettingArrow arrow={arrow} act={props.act} />
      <FillWords placed={fillWords} />
      <Now {...props} words={words} />
      <Axes {...props} />
    </>
  );
}

function Legend(props: MapProps) {
  const region = fillRegion(props);
  return (
    <>
      Each line joins settings that end in the same carbonation, in {props.units.carbonation}.{' '}
      {region.length > 0
        ? `Outlined: where ${props.beerName} can be filled, if it holds that carbonation by then.`
        : 'No setting is at once right in carbonation, cold enough, clear of freezing and at serving pressure: look at the window and the fill temperature.'}{' '}
      {props.abvPercent === null && `Alcohol was not entered: ${ASSUMED_ABV_PERCENT} % is assumed for freezing.`}
    </>
  );
}

/** The map in one sentence. */
export function mapSentence(props: MapProps): string {
  const { now, units, target } = props;
  if (now === null) return 'Temperature and pressure are not heard: the keg has no place on the map.';
  const end = volumesAt(now, props);
  const stands = `The keg stands at ${temperature(now.celsius, units)} and ${pressure(now.kpaGauge, units)}`;
  if (end === null) return `${stands}.`;
  const side = end < target.low ? 'below its window' : end > target.high ? 'above its window' : 'inside its window';
  const setting = settingFor(props);
  const hint =
    setting === null
      ? ''
      : ` ${pressure(setting.kpaGauge, units)} at ${temperature(setting.celsius, units)} would end inside the window.`;
  return `${stands}, heading for ${carbonation(end, units)}, ${side}.${hint}`;
}

function crossSentence(cross: Point, props: MapProps): string {
  const { units } = props;
  const end = volumesAt(cross, props);
  const place = `${temperature(cross.celsius, units)} and ${pressure(cross.kpaGauge, units)}`;
  return end === null ? `${place}: outside what is known` : `${place} would end in ${carbonation(end, units)}.`;
}

/** Where a key moves the cross; undefined if the key is none of ours. */
function moveCross(from: Point, key: string, extent: Extent): Point | undefined {
  const step = { celsius: 0.1, kpaGauge: 1 };
  const moves: Readonly<Record<string, readonly [number, number]>> = {
    ArrowLeft: [-step.celsius, 0],
    ArrowRight: [step.celsius, 0],
    ArrowUp: [0, step.kpaGauge],
    ArrowDown: [0, -step.kpaGauge],
  };
  const move = moves[key];
  if (move === undefined) return undefined;
  return {
    celsius: Math.min(extent.warmC, Math.max(extent.coldC, from.celsius + move[0])),
    kpaGauge: Math.min(extent.highKpa, Math.max(extent.lowKpa, from.kpaGauge + move[1])),
  };
}

function MapTable(props: MapProps) {
  const { target, units, ambientKpaAbsolute, ambientFrom, abvPercent } = props;
  const rows = Array.from({ length: 9 }, (_, index) => index);
  const [open, setOpen] = useState(false);
  const at = (volumes: number, celsius: number): string => pressure(pressureFor(volumes, celsius, props), units);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Show the settings as a table</summary>
      {open && (
        <table>
          <thead>
            <tr>
              <th>Beer temperature</th>
              {[target.low, target.volumes, target.high].map((volumes, index) => (
                <th class="num" key={index === 1 ? 'middle' : volumes}>
                  {pressureUnit(units)} for {carbonationNumber(volumes, units)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map((celsius) => (
              <tr key={celsius}>
                <td>{temperature(celsius, units)}</td>
                <td class="num">{at(target.low, celsius)}</td>
                <td class="num">{at(target.volumes, celsius)}</td>
                <td class="num">{at(target.high, celsius)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p class="note">
        Air pressure here: {pressure(ambientKpaAbsolute, units)} absolute, {AMBIENT_WORD[ambientFrom]}.
        {abvPercent === null && ` Alcohol: ${ASSUMED_ABV_PERCENT} % assumed.`}
      </p>
    </details>
  );
}

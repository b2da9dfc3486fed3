/** A carbonation chart for one altitude: what beer holds in the end, by temperature and gauge pressure. */
import type { ChartRequest } from '../contract/calculate.ts';
import { airPressureAtAltitude } from '../physics/atmosphere.ts';
import { equilibriumVolumes } from '../physics/carbonation.ts';
import { PhysicsRangeError } from '../physics/range.ts';
import { celsius, fromBaseUnit, metres, pressureToAbsolute, toBaseUnit } from '../physics/units.ts';

export type ChartUnits = ChartRequest['units'];

/** Rows and columns that fit on one page and cover what a keg fridge does. */
const AXES = {
  us: {
    altitudeUnit: '[ft_i]',
    temperatureUnit: '[degF]',
    temperatures: steps(30, 56, 1),
    pressureUnit: '[psi]',
    pressures: steps(4, 26, 1),
  },
  metric: {
    altitudeUnit: 'm',
    temperatureUnit: 'Cel',
    temperatures: steps(-1, 14, 0.5),
    pressureUnit: 'kPa',
    pressures: steps(30, 200, 10),
  },
} as const;

/** The usual window for filling bottles from a keg (volumes): common practice, no source. */
export const WINDOW = { low: 2.0, high: 2.5 } as const;

export interface ChartCell {
  /** To two decimals, as printed. */
  readonly volumes: number;
  readonly inWindow: boolean;
}

export interface Chart {
  readonly units: ChartUnits;
  /** In feet or metres, and in psi or kPa: the units of the chart. */
  readonly altitude: number;
  readonly airAbsolute: number;
  readonly altitudeAssumed: boolean;
  readonly temperatures: readonly number[];
  readonly pressures: readonly number[];
  /** One row for each temperature, one cell for each pressure. */
  readonly rows: readonly (readonly ChartCell[])[];
}

function steps(from: number, to: number, step: number): number[] {
  return Array.from({ length: Math.round((to - from) / step) + 1 }, (_, index) => from + index * step);
}

export type ChartOutcome =
  | { readonly ok: true; readonly chart: Chart }
  | { readonly ok: false; readonly reason: string };

function chartAt(altitudeM: number, altitudeAssumed: boolean, units: ChartUnits): Chart {
  const axes = AXES[units];
  const air = airPressureAtAltitude(metres(altitudeM));
  const rows = axes.temperatures.map((temperature) =>
    axes.pressures.map((pressure) => {
      const beer = celsius(toBaseUnit(temperature, axes.temperatureUnit));
      const volumes = equilibriumVolumes(beer, pressureToAbsolute(pressure, axes.pressureUnit, 'gauge', air));
      // By the digits shown, so that a cell that reads 2.00 is not left outside.
      const shown = Math.round(volumes * 100) / 100;
      return { volumes: shown, inWindow: shown >= WINDOW.low && shown <= WINDOW.high };
    }),
  );
  const { temperatures, pressures } = axes;
  const altitude = fromBaseUnit(altitudeM, axes.altitudeUnit);
  const airAbsolute = fromBaseUnit(air, axes.pressureUnit);
  return { units, altitude, airAbsolute, altitudeAssumed, temperatures, pressures, rows };
}

/** The chart for an altitude; without one for sea level, marked as assumed. What physics refuses is a reason. */
export function carbonationChart({ altitude, units }: ChartRequest): ChartOutcome {
  try {
    const altitudeM = altitude === undefined ? 0 : toBaseUnit(altitude.value, altitude.unit);
    return { ok: true, chart: chartAt(altitudeM, altitude === undefined, units) };
  } catch (error) {
    if (error instanceof PhysicsRangeError) return { ok: false, reason: error.message };
    throw error;
  }
}

/**
 * General-purpose libraries used as independent checks. They ship no types that fit (one ships sources that this
 * project's compiler settings refuse), so they are loaded as CommonJS and typed by what is called.
 */
import { createRequire } from 'node:module';

const load = createRequire(import.meta.url);

interface UcumLibrary {
  readonly UcumLhcUtils: {
    getInstance(): {
      convertUnitTo(
        from: string,
        value: number,
        to: string,
      ): { readonly status: string; readonly toVal: number | null };
    };
  };
}

interface PsychrometricsLibrary {
  readonly SI: number;
  SetUnitSystem(system: number): void;
  /** Pa from m. */
  GetStandardAtmPressure(altitudeM: number): number;
  /** Pa from °C. */
  GetSatVapPres(temperatureC: number): number;
}

interface OdeSolver {
  absoluteTolerance: number;
  relativeTolerance: number;
  solve(
    derivative: (t: number, y: readonly number[]) => number[],
    start: number,
    initial: readonly number[],
    end: number,
  ): { readonly y: readonly number[] };
}

export const ucum = (load('@lhncbc/ucum-lhc') as UcumLibrary).UcumLhcUtils.getInstance();
export const psychrometrics = load('psychrolib') as PsychrometricsLibrary;
export const { Solver } = load('odex') as { readonly Solver: new (dimensions: number) => OdeSolver };

/** Answers of `calculate` in words for a terminal: the value with both families of units, then what to keep in mind. */
import type { CalculateResult } from '../contract/calculate.ts';
import { fromBaseUnit } from '../physics/units.ts';

const digits = (value: number, places: number): string => value.toFixed(places).replace('-', '−');

const pressureText = (kpa: number, kind: 'gauge' | 'absolute'): string =>
  `${digits(kpa, 1)} kPa ${kind} (${digits(fromBaseUnit(kpa, 'bar'), 2)} bar, ${digits(fromBaseUnit(kpa, '[psi]'), 1)} psi)`;

const temperatureText = (celsius: number): string =>
  `${digits(celsius, 1)} °C (${digits(fromBaseUnit(celsius, '[degF]'), 1)} °F)`;

const gramsText = (grams: number): string =>
  `${digits(grams, 0)} g (${digits(fromBaseUnit(grams / 1000, '[oz_av]'), 1)} oz)`;

function hoursText(hours: number): string {
  if (hours < 1) return `${digits(hours * 60, 0)} min`;
  return hours < 48 ? `${digits(hours, 1)} h` : `${digits(hours / 24, 1)} days`;
}

function facts(result: CalculateResult): string[] {
  switch (result.what) {
    case 'equilibrium': {
      const { volumes, plusMinusVolumes: half } = result;
      return [
        `In the end: ${digits(volumes, 2)} volumes of CO2 (${digits(result.gramsPerLitre, 2)} g/L)`,
        `Nine times in ten: ${digits(Math.max(0, volumes - half), 2)} to ${digits(volumes + half, 2)} volumes`,
      ];
    }
    case 'pressure-for':
      return [`Set the regulator to ${pressureText(result.kpaGauge, 'gauge')}`];
    case 'water-solubility':
      return [`CO2 in water: ${result.molPerKgAtm.toFixed(5)} mol per kg and atm`];
    case 'freezing-point':
      return [
        `The beer begins to freeze at ${temperatureText(result.celsius)}`,
        `Warn when the thermometer shows ${temperatureText(result.warnCelsius)}`,
      ];
    case 'co2-vapour-pressure':
      return [`Pressure over liquid CO2: ${pressureText(result.kpaAbsolute, 'absolute')}`];
    case 'air-pressure':
      return [`Air pressure: ${pressureText(result.kpaAbsolute, 'absolute')}`];
    case 'line-flow':
      return [
        `Flow: ${digits(result.millilitresPerSecond, 1)} mL/s, ${result.regime} (Reynolds number ${digits(result.reynolds, 0)})`,
        ...(result.secondsPerBottle === null ? [] : [`One bottle: ${digits(result.secondsPerBottle, 0)} s`]),
        ...(result.breakoutKpaGauge === null
          ? []
          : [`Below ${pressureText(result.breakoutKpaGauge, 'gauge')} this beer foams in the line`]),
      ];
    case 'bottle-pressure':
      return [`In the bottle: ${pressureText(result.kpaGauge, 'gauge')}`];
    case 'priming-sugar':
      return [
        `Sugar: ${gramsText(result.grams)}, which adds ${digits(result.addedVolumes, 2)} volumes to what the beer holds`,
        ...(result.alreadyInVolumes === null
          ? []
          : [`In the beer from fermentation: ${digits(result.alreadyInVolumes, 2)} volumes`]),
        ...(result.totalVolumes === null
          ? []
          : [`In the bottle in the end: ${digits(result.totalVolumes, 2)} volumes`]),
        ...(result.tradeTableVolumes === null
          ? []
          : [`The published table, pure water, would say ${digits(result.tradeTableVolumes, 2)} volumes`]),
      ];
    case 'gas-budget':
      return [
        `To carbonate: ${gramsText(result.carbonateGrams)}`,
        `To push the beer out: ${gramsText(result.pushGrams)}`,
        `To flush: ${gramsText(result.flushGrams)}`,
        `To purge: ${gramsText(result.purgeGrams)}`,
        `In all: ${gramsText(result.totalGrams)}`,
      ];
    case 'absorption':
      return [
        `Then: ${digits(result.volumesAfter, 2)} volumes; in the end ${digits(result.equilibriumVolumes, 2)} volumes`,
        result.hoursToNinetyPercent === null
          ? 'The beer holds more than it will in the end: it gives off gas'
          : `Nine tenths of the way: ${hoursText(result.hoursToNinetyPercent)}`,
      ];
    case 'cooling':
      return [`Cold in ${hoursText(result.hours)} (time constant ${hoursText(result.timeConstantHours)})`];
  }
}

/** The answer as lines of text: facts first, then its notes as a list. */
export function answerLines(result: CalculateResult): string[] {
  return [...facts(result), ...result.notes.map((note) => `- ${note}`)];
}

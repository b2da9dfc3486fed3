import type { Units } from '../../../src/contract/catalogue.ts';
import type { Check, KegState } from '../../../src/contract/state.ts';
import { equilibriumPressure } from '../../../src/physics/carbonation.ts';
import { celsius, convert, volumes } from '../../../src/physics/units.ts';
import { digits, pressure, temperature, temperatureDifference } from '../../format/numbers.ts';
import { durationWords } from '../../format/times.ts';
import { AMBIENT_WORD, QUANTITY_WORD } from '../../format/words.ts';
import { freezingReckoning } from './freezing-reckoning.ts';
import { JUDGED_BY, type Reckoning } from './reckoned.ts';
import { shown, wantedText } from './why.ts';

export interface ReckoningBasis {
  readonly keg: KegState;
  /** Null: the gas is mixed and its share of CO2 is not known. */
  readonly co2Ratio: number | null;
}

const NONE: Reckoning = { inputs: [], lines: [], change: [] };
const FORMULA =
  'In the end, in volumes: V = P × (0.01821 + 0.090115 × exp(−(T − 32) / 43.11)) − 0.003342, with P the absolute pressure of CO2 in psi and T in °F.';
const INVERSE =
  'The pressure that holds V volumes, absolute in psi: P = (V + 0.003342) / (0.01821 + 0.090115 × exp(−(T − 32) / 43.11)), with T in °F.';

export function reckoning(check: Check, basis: ReckoningBasis, units: Units): Reckoning {
  switch (check.name) {
    case 'carbonation':
      return carbonationReckoning(basis, units);
    case 'overcarbonation-risk':
      return riskReckoning(check, basis, units);
    case 'cold':
      return coldReckoning(check, basis, units);
    case 'freezing-margin':
      return freezingReckoning(check, basis.keg, units);
    case 'serving-pressure':
      return servingReckoning(check, basis, units);
    case 'probes-fresh':
      return freshReckoning(basis);
    case 'at-rest':
      return restReckoning(check);
    case 'steady':
      return {
        ...NONE,
        lines: [
          'Of the last half hour: the highest pressure less the lowest, and the same of the temperature, each cleaned of single wild values.',
          `${said(check, check.measured, units)}; it passes with ${wantedText(check, units) ?? 'less'}.`,
        ],
        change: ['Time, while nobody turns the regulator or the fridge.'],
      };
    case 'purge-pressure':
    case 'bottles-cold':
    case 'gas-supply':
    case 'beer-left':
      return compared(check, units);
  }
}

const said = (check: Check, value: Check['measured'], units: Units): string => shown(check, value, units);
const psi = (kpa: number): number => convert(kpa, 'kPa', '[psi]');
const fahrenheit = (beerC: number): number => convert(beerC, 'Cel', '[degF]');
const percent = (share: number): string => String(Math.round(share * 100));

/** Temperature, pressure, air and gas as they go into the formula. */
function inputsOf({ keg, co2Ratio }: ReckoningBasis, units: Units): Reckoning['inputs'] {
  const { beerTemperatureC, headspaceKpaGauge, ambientKpaAbsolute, ambientFrom } = keg;
  const inputs: (readonly [string, string])[] = [];
  if (beerTemperatureC !== null)
    inputs.push([
      'Beer',
      `${temperature(beerTemperatureC, units)} = ${digits(fahrenheit(beerTemperatureC), 2)}\u00a0°F`,
    ]);
  if (headspaceKpaGauge !== null)
    inputs.push([
      'Pressure in the keg',
      `${pressure(headspaceKpaGauge, units)} = ${digits(psi(headspaceKpaGauge), 2)}\u00a0psi`,
    ]);
  inputs.push([
    `Air pressure, ${AMBIENT_WORD[ambientFrom]}`,
    `${pressure(ambientKpaAbsolute, units)} = ${digits(psi(ambientKpaAbsolute), 2)}\u00a0psi`,
  ]);
  inputs.push(['Share of CO2 in the gas', co2Ratio === null ? 'not set' : digits(co2Ratio, 2)]);
  return inputs;
}

/** The formula with this keg's figures in it; empty where one of them is not known. */
function inTheEnd({ keg, co2Ratio }: ReckoningBasis): string[] {
  const { beerTemperatureC, headspaceKpaGauge, ambientKpaAbsolute, equilibriumVolumes } = keg;
  if (beerTemperatureC === null || headspaceKpaGauge === null || co2Ratio === null || equilibriumVolumes === null)
    return [];
  const [gauge, air] = [psi(headspaceKpaGauge), psi(ambientKpaAbsolute)];
  const absolute = digits((gauge + air) * co2Ratio, 2);
  const above = digits(fahrenheit(beerTemperatureC) - 32, 2);
  return [
    FORMULA,
    `P = (${digits(gauge, 2)} + ${digits(air, 2)}) × ${digits(co2Ratio, 2)} = ${absolute} psi; T − 32 = ${above}.`,
    `V = ${absolute} × (0.01821 + 0.090115 × exp(−(${above}) / 43.11)) − 0.003342 = ${digits(equilibriumVolumes, 2)} volumes in the end.`,
  ];
}

/** The gauge pressure that ends at a carbonation, at the beer's temperature (kPa); null where it cannot be said. */
function settingFor(carbonation: number, { keg, co2Ratio }: ReckoningBasis): number | null {
  const { beerTemperatureC, ambientKpaAbsolute } = keg;
  if (beerTemperatureC === null || co2Ratio === null) return null;
  try {
    return equilibriumPressure(volumes(carbonation), celsius(beerTemperatureC)) / co2Ratio - ambientKpaAbsolute;
  } catch {
    // Outside the range of the formula nothing is said.
    return null;
  }
}

function carbonationReckoning(basis: ReckoningBasis, units: Units): Reckoning {
  const { dissolved, belief, target } = basis.keg;
  const lines = inTheEnd(basis);
  if (dissolved !== null && belief !== null) {
    lines.push(
      `In the beer now: the estimate reckons with a thousand kegs that could be this one. Nine in ten of them hold ${digits(dissolved.low, 2)} to ${digits(dissolved.high, 2)} volumes.`,
      `Of 100 of them ${percent(belief.insideProbability)} are inside ${digits(target.low, 2)} to ${digits(target.high, 2)}, and ${percent(belief.aboveProbability)} past it. ${enoughWords()}`,
    );
  }
  const [low, high] = [settingFor(target.low, basis), settingFor(target.high, basis)];
  const change = ['A gas check, which narrows the estimate.', 'Another window.'];
  if (low !== null && high !== null)
    change.unshift(
      `Where it ends: at this temperature ${pressure(low, units)} to ${pressure(high, units)} end inside the window.`,
    );
  return { inputs: inputsOf(basis, units), lines, change };
}

/** "It passes from 90 inside and with at most 5 past; once it passes, until 86 and 7." */
function enoughWords(): string {
  const { insideMin, aboveMax, flicker } = JUDGED_BY;
  const once = `until ${percent(insideMin - flicker)} and ${percent(aboveMax + flicker / 2)}`;
  return `It passes from ${percent(insideMin)} inside and with at most ${percent(aboveMax)} past; once it passes, ${once}.`;
}

function riskReckoning(check: Check, basis: ReckoningBasis, units: Units): Reckoning {
  const { belief, target } = basis.keg;
  const lines = inTheEnd(basis);
  lines.push(`The top of the window is ${digits(target.high, 2)} volumes. Wanted: ${wantedText(check, units) ?? ''}.`);
  if (belief !== null) {
    const hours = belief.passesTopInHours;
    const when =
      hours === null ? 'not within a week' : hours === 0 ? 'already now' : `in about ${Math.round(hours)}\u00a0h`;
    lines.push(`${percent(JUDGED_BY.aboveMax)} in 100 of the kegs that could be this one are past the top ${when}.`);
  }
  const most = settingFor(target.high, basis);
  const change = ['A gas check, where the risk comes from not knowing.'];
  if (most !== null)
    change.unshift(`At this temperature any setting below ${pressure(most, units)} ends below the top.`);
  return { inputs: inputsOf(basis, units), lines, change };
}

function coldReckoning(check: Check, { keg }: ReckoningBasis, units: Units): Reckoning {
  const { wantedHigh: limit, measured } = check;
  if (limit === null || typeof measured !== 'number') return NONE;
  const wish = keg.target.celsius;
  const over = measured - limit;
  const by = temperatureDifference(Math.abs(over), units);
  return {
    inputs: [
      ['Beer', temperature(measured, units)],
      ['Wished for the fill', temperature(wish, units)],
      ['Still counts above it', temperatureDifference(limit - wish, units)],
    ],
    lines: [
      `${temperature(wish, units)} + ${temperatureDifference(limit - wish, units)} = ${temperature(limit, units)}; it passes at or below that, and once it passes, up to ${temperatureDifference(JUDGED_BY.coldFlickerC, units)} more.`,
    ],
    change: [
      over > 0
        ? `Beer colder by ${by}, or a wish that is warmer by as much.`
        : `Beer warmer by more than ${by}, or a wish that is colder by as much.`,
    ],
  };
}

function servingReckoning(check: Check, basis: ReckoningBasis, units: Units): Reckoning {
  const { keg } = basis;
  const { wantedLow: low, wantedHigh: high } = check;
  if (low === null || high === null || typeof check.measured !== 'number') return NONE;
  const lines = [`It passes from ${pressure(low, units)} to ${pressure(high, units)}, with the gas open.`];
  const own = keg.dissolved === null ? null : settingFor(keg.dissolved.volumes, basis);
  if (own !== null && keg.dissolved !== null && keg.beerTemperatureC !== null) {
    const above = digits(fahrenheit(keg.beerTemperatureC) - 32, 2);
    const absolute = psi((own + keg.ambientKpaAbsolute) * (basis.co2Ratio ?? 1));
    lines.push(
      `Served far below the pressure of its own gas, beer foams. ${INVERSE}`,
      `P = (${digits(keg.dissolved.volumes, 2)} + 0.003342) / (0.01821 + 0.090115 × exp(−(${above}) / 43.11)) = ${digits(absolute, 2)} psi; by the share of CO2 and less ${digits(psi(keg.ambientKpaAbsolute), 2)} psi of air that is ${pressure(own, units)} on the gauge.`,
      `So it must be at least ${pressure(own - JUDGED_BY.breaksOutKpa, units)} too, that is ${pressure(JUDGED_BY.breaksOutKpa, units)} less.`,
    );
  }
  const change = [
    `A setting between ${pressure(low, units)} and ${pressure(high, units)}, or other limits of this beer.`,
  ];
  return { inputs: inputsOf(basis, units), lines, change };
}

function freshReckoning({ keg }: ReckoningBasis): Reckoning {
  const needed = keg.inputs.filter(
    ({ quantity }) => quantity === 'beer-temperature' || quantity === 'headspace-pressure',
  );
  return {
    inputs: needed.map(({ quantity, lateForMs }) => [
      QUANTITY_WORD[quantity],
      `counts for ${durationWords(lateForMs)} after it was heard`,
    ]),
    lines: [
      'A probe counts until it was silent for twelve of its usual intervals, at least 8 min and at most 2 h. It takes one for the beer and one for the pressure.',
    ],
    change: ['A probe that speaks, or one that falls silent.'],
  };
}

function restReckoning({ measured, wantedLow }: Check): Reckoning {
  if (typeof measured !== 'number' || wantedLow === null) return NONE;
  const left = wantedLow - measured;
  return {
    inputs: [['Whole hours since it was filled, moved, shaken or vented', digits(measured, 0)]],
    lines: [`It passes from ${digits(wantedLow, 0)} h on.`],
    change: [left > 0 ? `${digits(left, 0)} h more without touching it.` : 'Moving, shaking, venting or filling it.'],
  };
}

function compared(check: Check, units: Units): Reckoning {
  const wanted = wantedText(check, units);
  if (wanted === null || check.measured === null) return NONE;
  return {
    inputs: [['Measured', said(check, check.measured, units)]],
    lines: [`It passes with ${wanted}.`],
    change: [],
  };
}

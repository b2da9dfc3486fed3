import type { Keg, Units } from '../../../src/contract/catalogue.ts';
import type { KegState } from '../../../src/contract/state.ts';
import { bottlePressure } from '../../../src/physics/headspace.ts';
import { celsius, kpaAbsolute, volumes } from '../../../src/physics/units.ts';
import { pressure, temperature } from '../../format/numbers.ts';

export interface Entry {
  readonly id: string;
  readonly text: string;
}

/** What is to be seen to, by its purpose. */
export interface Group {
  readonly id: 'safe' | 'clean' | 'gas' | 'fill' | 'close' | 'end';
  readonly heading: string;
  /** False: a reminder for every bottle, nothing to tick off. */
  readonly ticks: boolean;
  readonly entries: readonly Entry[];
}

/** The purge pressure that is aimed at (kPa gauge), about 15 psi. Common practice, no source. */
const PURGE_KPA = 103;
/** A warm room in summer (°C), and the headspace of a usual bottle over its beer. */
const WARM_C = 30;
const HEADSPACE_RATIO = 0.04;

type Live = Pick<
  KegState,
  'beerTemperatureC' | 'headspaceKpaGauge' | 'advisedKpaGauge' | 'dissolved' | 'target' | 'ambientKpaAbsolute'
>;

/** Gauge pressure in a bottle of this beer once it is warm (kPa); null outside what can be computed. */
export function warmBottleKpaGauge({ dissolved, target, beerTemperatureC, ambientKpaAbsolute }: Live): number | null {
  try {
    const inBottle = bottlePressure(
      {
        carbonation: volumes(dissolved?.high ?? target.high),
        fillTemperature: celsius(beerTemperatureC ?? target.celsius),
        headspaceRatio: HEADSPACE_RATIO,
        headspaceCo2: kpaAbsolute(101.325),
      },
      celsius(WARM_C),
    );
    return inBottle - ambientKpaAbsolute;
  } catch {
    return null;
  }
}

/** Before the first bottle. All of it is common practice, no source, but where one is named. */
export function groupsBefore(keg: Live, workingKpaGaugeMax: Keg['workingKpaGaugeMax'], units: Units): Group[] {
  const setting = keg.advisedKpaGauge ?? keg.headspaceKpaGauge;
  const set = setting === null ? 'at its serving pressure' : `at ${pressure(setting, units)}`;
  return [
    { id: 'safe', heading: 'Safe', ticks: true, entries: safeEntries(keg, workingKpaGaugeMax, units) },
    {
      id: 'clean',
      heading: 'Clean',
      ticks: true,
      entries: [
        { id: 'filler', text: 'Filler taken apart, washed and sanitised' },
        { id: 'line', text: 'Line flushed and sanitised; the first glass is poured away' },
        { id: 'bottles', text: 'Bottles washed, sanitised and drained' },
        { id: 'caps', text: 'Caps in sanitiser, and a few to spare' },
      ],
    },
    {
      id: 'gas',
      heading: 'Gas',
      ticks: true,
      entries: [
        { id: 'keg-gas', text: `Keg ${set}. If it is above, do not vent it now: it foams` },
        { id: 'purge-gas', text: `Purge gas at about ${pressure(PURGE_KPA, units)}` },
        { id: 'cold-bottles', text: 'Bottles cold: a night in the cold, or in cold sanitiser' },
        { id: 'tote', text: 'A tote below that catches what runs over' },
      ],
    },
  ];
}

function safeEntries(keg: Live, workingKpaGaugeMax: number | null, units: Units): Entry[] {
  const warm = warmBottleKpaGauge(keg);
  const inBottle =
    warm === null ? '' : ` At ${temperature(WARM_C, units)} such a bottle presses with about ${pressure(warm, units)}.`;
  const stamp =
    workingKpaGaugeMax === null
      ? 'Never more pressure in the keg than is stamped on it'
      : `Never more than ${pressure(workingKpaGaugeMax, units)} in the keg`;
  return [
    { id: 'eyes', text: 'Eye protection on, for everybody near' },
    {
      id: 'glass',
      text: `Bottles made for this pressure, held to the light: none chipped or scuffed.${inBottle} The maker’s limit counts`,
    },
    { id: 'air', text: 'Door or window open: CO2 has no smell, lies low, and suffocates' },
    { id: 'stamp', text: stamp },
    { id: 'lift', text: 'A full keg weighs some 25\u00a0kg: lift it with two, and not in the twelve hours before' },
    { id: 'codes', text: 'Where makers, local codes or qualified people say otherwise, they are right' },
  ];
}

/** While bottles are filled. */
export const GROUPS_DURING: readonly Group[] = [
  {
    id: 'fill',
    heading: 'Each bottle',
    ticks: false,
    entries: [
      { id: 'one', text: 'Take one cold bottle at a time' },
      { id: 'purge', text: 'Gas in for 2 to 3\u00a0s, filler at the bottom' },
      { id: 'bottom', text: 'Fill from the bottom, slowly, the tip always under the beer' },
      { id: 'never', text: 'Never shake the keg, never add gas or vent in the middle, never lean over a bottle' },
    ],
  },
  {
    id: 'close',
    heading: 'Close',
    ticks: false,
    entries: [
      { id: 'foam', text: 'Cap on foam, at once' },
      { id: 'rinse', text: 'Rinse and dry the bottle' },
      { id: 'label', text: 'Write its number on it' },
    ],
  },
];

/** After the last bottle. */
export function groupsAfter(keg: Live, units: Units): Group[] {
  const setting = keg.advisedKpaGauge;
  const back = setting === null ? 'the pressure that holds it' : pressure(setting, units);
  return [
    {
      id: 'end',
      heading: 'At the end',
      ticks: true,
      entries: [
        { id: 'flush', text: 'Filler and line flushed with water, cleaned, drained' },
        { id: 'gas-back', text: `Purge gas off, keg back on gas at ${back}` },
        { id: 'store', text: 'Bottles into the cold, standing, behind a door' },
        { id: 'shut', text: 'Cylinder upright and tied; nothing hisses' },
      ],
    },
  ];
}

import type { EventEntry } from '../contract/event.ts';
import type { BottleEntry, FillChange, FillStart } from '../contract/fill.ts';
import type { TimedAct } from './acts.ts';

/** What the demo enters into the catalogue: bodies of the service's own requests. */
export interface DemoCatalogue {
  readonly site: {
    readonly altitudeM: number;
    readonly timeZone: string;
    readonly line: { readonly boreMm: number; readonly lengthM: number; readonly liftM: number };
  };
  readonly places: readonly { readonly placeId: string; readonly body: { readonly name: string } }[];
  readonly supplies: readonly {
    readonly supplyId: string;
    readonly body: { readonly name: string; readonly co2Ratio: number; readonly cylinderKg: number };
  }[];
  readonly kegs: readonly {
    readonly kegId: string;
    readonly body: {
      readonly name: string;
      readonly capacityL: number;
      readonly diameterMetres: number;
      readonly workingKpaGaugeMax: number;
      readonly placeId: string;
      readonly supplyId: string;
    };
  }[];
  readonly batches: readonly { readonly kegId: string; readonly body: DemoBatch }[];
  /** An event on a keg. One with `place` or `supply` holds for all kegs of it and is entered at one of them. */
  readonly events: readonly { readonly kegId: string; readonly body: EventEntry }[];
  readonly fills: readonly DemoFill[];
}

/** A fill that is over: how it began, its bottles, and how it ended. */
export interface DemoFill {
  readonly fillId: string;
  readonly start: FillStart;
  readonly bottles: readonly { readonly bottleId: string; readonly body: BottleEntry }[];
  readonly end: FillChange;
}

export interface DemoBatch {
  readonly at: string;
  readonly name: string;
  readonly style: string;
  readonly abvPercent: number;
  readonly originalExtractPlato: number;
  readonly totalLitres: number;
  readonly beerLitres: number;
  readonly diameterMetres: number;
  readonly beerCelsius: number;
  readonly fermentedAtCelsius: number;
  readonly beerState: 'flat';
  readonly probe: 'thermowell' | 'wall';
}

/** A keg of the demo: what is in it, when it was filled before the demo began, and how it was treated. */
export interface DemoKeg {
  readonly kegId: string;
  readonly kegName: string;
  readonly supplyId: string;
  readonly hoursOnGas: number;
  readonly beer: Pick<DemoBatch, 'name' | 'style' | 'abvPercent' | 'originalExtractPlato'>;
  readonly beerLitres: number;
  readonly beerCelsius: number;
  readonly fermentedAtCelsius: number;
  readonly startVolumes: number;
  readonly probe: 'thermowell' | 'wall';
  readonly target: { readonly volumes: number; readonly tolerance: number };
  /** Gas checks: hours before the demo began, and how long the gas stayed closed. */
  readonly checks: readonly { readonly hoursBefore: number; readonly hours: number }[];
  readonly draws: readonly { readonly hoursBefore: number; readonly litres: number }[];
  readonly fill?: PastFill;
}

/** Bottles that were filled, one after the other. */
export interface PastFill {
  readonly hoursBefore: number;
  readonly sizeL: number;
  /** What is worth telling of each. */
  readonly bottles: readonly Omit<BottleEntry, 'sizeL' | 'filledAt'>[];
  readonly lostL: number;
  readonly remark: string;
  readonly tasteAfterDays: number;
}

export const HOUR_MS = 3_600_000;
export const KEG_L = 19.4;
export const KEG_DIAMETER_M = 0.215;
export const FRIDGE_C = 1.5;
export const SHARED_KPA_GAUGE = 60;
export const SECOND_KPA_GAUGE = 64;
export const ALTITUDE_M = 180;
/** What a target means for the wished fill temperature (°C). */
const FILL_C = 2;
const PURGES = 5;
const PURGE_KPA_GAUGE = 200;

const DAY_MS = 24 * HOUR_MS;
/** From one bottle to the next (ms). */
const BOTTLE_MS = 3 * 60_000;

/** Four days ago; the fifth bottle is to be tasted now. */
const LEFT_FILL: PastFill = {
  hoursBefore: 98,
  sizeL: 0.33,
  lostL: 0.3,
  remark: 'Two foamed before the line was cold.',
  tasteAfterDays: 4,
  bottles: [
    { note: 'foamy', destination: 'drunk', tasting: { text: 'A little flat, fine otherwise.', opinion: 'so-so' } },
    { note: 'foamy', remark: 'line still warm', destination: 'party' },
    ...[{}, {}, {}, {}, {}],
    { destination: 'competition', destinationText: 'Village summer show' },
    { destination: 'competition', destinationText: 'Village summer show' },
    { destination: 'gift', destinationText: 'for the loan of the ladder' },
    {},
    { destination: 'drunk', tasting: { text: 'Bright, holds its head.', opinion: 'good' } },
  ],
};

export const DEMO_KEGS: readonly DemoKeg[] = [
  {
    kegId: 'left',
    kegName: 'Left',
    supplyId: 'gas',
    hoursOnGas: 12 * 24,
    beer: { name: 'Ladder Shed Pale', style: 'Pale ale', abvPercent: 4.6, originalExtractPlato: 11.4 },
    beerLitres: 18.6,
    beerCelsius: 17,
    fermentedAtCelsius: 19,
    startVolumes: 0.86,
    probe: 'thermowell',
    target: { volumes: 2.25, tolerance: 0.25 },
    checks: [
      { hoursBefore: 9 * 24, hours: 5 },
      { hoursBefore: 40, hours: 10 },
    ],
    draws: [
      { hoursBefore: 70, litres: 0.4 },
      { hoursBefore: 68, litres: 0.4 },
      { hoursBefore: 46, litres: 0.5 },
    ],
    fill: LEFT_FILL,
  },
  {
    kegId: 'middle',
    kegName: 'Middle',
    supplyId: 'gas',
    hoursOnGas: 30,
    beer: { name: 'Plum Lane Amber', style: 'Amber ale', abvPercent: 5.1, originalExtractPlato: 12.6 },
    beerLitres: 18.8,
    beerCelsius: 20,
    fermentedAtCelsius: 20,
    startVolumes: 0.85,
    probe: 'wall',
    target: { volumes: 2.3, tolerance: 0.2 },
    checks: [],
    draws: [],
  },
  {
    kegId: 'right',
    kegName: 'Right',
    supplyId: 'second',
    hoursOnGas: 5.8 * 24,
    beer: { name: 'Button Tin Porter', style: 'Porter', abvPercent: 5.4, originalExtractPlato: 13.8 },
    beerLitres: 18.2,
    beerCelsius: 16,
    fermentedAtCelsius: 18,
    startVolumes: 0.9,
    probe: 'thermowell',
    target: { volumes: 2.25, tolerance: 0.25 },
    checks: [{ hoursBefore: 60, hours: 4 }],
    draws: [],
  },
];

const instant = (ms: number): string => new Date(ms).toISOString();

/** The catalogue's entries, laid out before the anchor. */
export function demoCatalogue(anchorMs: number, historyStartMs: number): DemoCatalogue {
  return {
    site: { altitudeM: ALTITUDE_M, timeZone: 'Europe/Vienna', line: { boreMm: 4.8, lengthM: 3, liftM: 0.3 } },
    places: [{ placeId: 'fridge', body: { name: 'Garage fridge' } }],
    supplies: [
      { supplyId: 'gas', body: { name: 'Shared cylinder', co2Ratio: 1, cylinderKg: 6 } },
      { supplyId: 'second', body: { name: 'Second cylinder', co2Ratio: 1, cylinderKg: 2 } },
    ],
    kegs: DEMO_KEGS.map((keg) => ({
      kegId: keg.kegId,
      body: {
        name: keg.kegName,
        capacityL: 19,
        diameterMetres: KEG_DIAMETER_M,
        workingKpaGaugeMax: 800,
        placeId: 'fridge',
        supplyId: keg.supplyId,
      },
    })),
    batches: DEMO_KEGS.map((keg) => ({ kegId: keg.kegId, body: demoBatch(keg, anchorMs) })),
    events: [...sharedEvents(historyStartMs), ...DEMO_KEGS.flatMap((keg) => kegEvents(keg, anchorMs))],
    fills: DEMO_KEGS.flatMap(({ kegId, fill }) => (fill === undefined ? [] : pastFill(kegId, fill, anchorMs))),
  };
}

function demoBatch(keg: DemoKeg, anchorMs: number): DemoBatch {
  return {
    at: instant(anchorMs - keg.hoursOnGas * HOUR_MS),
    ...keg.beer,
    totalLitres: KEG_L,
    beerLitres: keg.beerLitres,
    diameterMetres: KEG_DIAMETER_M,
    beerCelsius: keg.beerCelsius,
    fermentedAtCelsius: keg.fermentedAtCelsius,
    beerState: 'flat',
    probe: keg.probe,
  };
}

function pastFill(kegId: string, fill: PastFill, anchorMs: number): DemoFill {
  const beganMs = anchorMs - fill.hoursBefore * HOUR_MS;
  const { sizeL, lostL, remark, tasteAfterDays, bottles } = fill;
  const tastedAt = instant(beganMs + 2 * DAY_MS);
  return {
    fillId: `${kegId}-first`,
    start: { kegId, startedAt: instant(beganMs), planned: [{ count: bottles.length, sizeL }] },
    bottles: bottles.map(({ tasting, ...told }, index) => ({
      bottleId: `00000000-0000-4000-8000-${String(index + 1).padStart(12, '0')}`,
      body: {
        ...{ sizeL, ...told, filledAt: instant(bottleMs(beganMs, index)) },
        ...(tasting === undefined || tasting === null ? {} : { tasting: { ...tasting, at: tastedAt } }),
      },
    })),
    end: { endedAt: instant(bottleMs(beganMs, bottles.length)), lostL, remark, tasteAfterDays },
  };
}

const bottleMs = (beganMs: number, index: number): number => beganMs + (index + 1) * BOTTLE_MS;

/** The beer that truly left the keg: with each bottle, and at the end what was lost. */
function fillActs(on: string, { hoursBefore, sizeL, lostL, bottles }: PastFill, anchorMs: number): TimedAct[] {
  const beganMs = anchorMs - hoursBefore * HOUR_MS;
  const draw = (index: number, litres: number): TimedAct => {
    return { atMs: bottleMs(beganMs, index), on, act: { kind: 'draw', litres } };
  };
  return [...bottles.map((_, index) => draw(index, sizeL)), draw(bottles.length, lostL)];
}

function sharedEvents(atMs: number): DemoCatalogue['events'] {
  const at = instant(atMs);
  return [
    { kegId: 'left', body: { kind: 'fridge-set', at, place: 'fridge', celsius: FRIDGE_C } },
    { kegId: 'left', body: { kind: 'regulator-set', at, supply: 'gas', kpaGauge: SHARED_KPA_GAUGE } },
    { kegId: 'right', body: { kind: 'regulator-set', at, supply: 'second', kpaGauge: SECOND_KPA_GAUGE } },
  ];
}

/** Moments after filling: purged, then put on gas (ms). */
const PURGED_AFTER_MS = 4 * 60_000;
const OPENED_AFTER_MS = 6 * 60_000;

function kegEvents(keg: DemoKeg, anchorMs: number): DemoCatalogue['events'] {
  const filledMs = anchorMs - keg.hoursOnGas * HOUR_MS;
  const bodies: EventEntry[] = [
    { kind: 'target-set', at: instant(filledMs + 60_000), ...keg.target, celsius: FILL_C },
    { kind: 'headspace-purged', at: instant(filledMs + PURGED_AFTER_MS), times: PURGES, kpaGauge: PURGE_KPA_GAUGE },
    { kind: 'gas-opened', at: instant(filledMs + OPENED_AFTER_MS) },
  ];
  for (const check of keg.checks) {
    const closed = instant(anchorMs - check.hoursBefore * HOUR_MS);
    const opened = instant(anchorMs - (check.hoursBefore - check.hours) * HOUR_MS);
    bodies.push({ kind: 'gas-closed', at: closed }, { kind: 'gas-check-started', at: closed });
    bodies.push({ kind: 'gas-check-ended', at: opened }, { kind: 'gas-opened', at: opened });
  }
  for (const draw of keg.draws) {
    bodies.push({ kind: 'beer-drawn', at: instant(anchorMs - draw.hoursBefore * HOUR_MS), litres: draw.litres });
  }
  return bodies.map((body) => ({ kegId: keg.kegId, body }));
}

/** What truly happened to a keg: in the demo the same as what was entered. */
export function kegActs(keg: DemoKeg, anchorMs: number): TimedAct[] {
  const filledMs = anchorMs - keg.hoursOnGas * HOUR_MS;
  const on = keg.kegId;
  const acts: TimedAct[] = [
    { atMs: filledMs + PURGED_AFTER_MS, on, act: { kind: 'purge', times: PURGES, kpaGauge: PURGE_KPA_GAUGE } },
    { atMs: filledMs + OPENED_AFTER_MS, on, act: { kind: 'open-gas' } },
  ];
  for (const check of keg.checks) {
    const closedMs = anchorMs - check.hoursBefore * HOUR_MS;
    acts.push({ atMs: closedMs, on, act: { kind: 'close-gas' } });
    acts.push({ atMs: closedMs + check.hours * HOUR_MS, on, act: { kind: 'open-gas' } });
  }
  for (const draw of keg.draws) {
    acts.push({ atMs: anchorMs - draw.hoursBefore * HOUR_MS, on, act: { kind: 'draw', litres: draw.litres } });
  }
  if (keg.fill !== undefined) acts.push(...fillActs(on, keg.fill, anchorMs));
  return acts;
}

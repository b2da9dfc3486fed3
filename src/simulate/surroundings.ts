import { airPressureAtAltitude } from '../physics/atmosphere.ts';
import { metres } from '../physics/units.ts';
import type { Random } from './random.ts';
import type { FridgeTraits } from './traits.ts';

/** Weather and room. */
export interface Surroundings {
  readonly random: Random;
  readonly meanPa: number;
  weatherPa: number;
  ambientPa: number;
  readonly roomMeanC: number;
  readonly roomDailyK: number;
  roomDriftK: number;
  roomC: number;
}

export interface SurroundingsSetup {
  readonly altitudeM: number;
  readonly roomMeanC: number;
  readonly roomDailyK: number;
}

/** Weather's spread and memory: air pressure 0.8 kPa over 2.5 days, a garage's temperature 1.2 K over 2 days. Simulated values, no source. */
const WEATHER_PA = 800;
const WEATHER_S = 2.5 * 86_400;
const ROOM_K = 1.2;
const ROOM_S = 2 * 86_400;
/** The twice-daily tide of the air (Pa). @source R. S. Lindzen, S. Chapman, "Atmospheric tides", 1969: about 1 hPa */
const TIDE_PA = 100;
const DAY_MS = 86_400_000;

export function createSurroundings(random: Random, setup: SurroundingsSetup): Surroundings {
  const meanPa = airPressureAtAltitude(metres(setup.altitudeM)) * 1000;
  const weatherPa = random.normal(0, WEATHER_PA);
  return {
    random,
    meanPa,
    weatherPa,
    ambientPa: meanPa + weatherPa,
    roomMeanC: setup.roomMeanC,
    roomDailyK: setup.roomDailyK,
    roomDriftK: random.normal(0, ROOM_K),
    roomC: setup.roomMeanC,
  };
}

/** One step of an Ornstein–Uhlenbeck process, exact for any step. @source D. T. Gillespie, Phys. Rev. E 54, 2084, 1996 */
function wander(random: Random, value: number, sd: number, memoryS: number, dtS: number): number {
  const kept = Math.exp(-dtS / memoryS);
  return value * kept + random.normal(0, sd * Math.sqrt(1 - kept * kept));
}

export function stepSurroundings(around: Surroundings, nowMs: number, dtS: number): void {
  around.weatherPa = wander(around.random, around.weatherPa, WEATHER_PA, WEATHER_S, dtS);
  around.roomDriftK = wander(around.random, around.roomDriftK, ROOM_K, ROOM_S, dtS);
  const day = (2 * Math.PI * nowMs) / DAY_MS;
  around.ambientPa = around.meanPa + around.weatherPa + TIDE_PA * Math.cos(2 * day - 5.2);
  // Warmest at about four in the afternoon UTC.
  around.roomC = around.roomMeanC + around.roomDriftK + around.roomDailyK * Math.cos(day - 4.2);
}

/** A fridge as it truly is. */
export interface FridgeTruth {
  readonly id: string;
  readonly traits: FridgeTraits;
  setC: number;
  airC: number;
  compressorOn: boolean;
  changedMs: number;
  coolingW: number;
  failed: boolean;
  doorOpenUntilMs: number;
}

export function createFridge(id: string, traits: FridgeTraits, setC: number, startMs: number): FridgeTruth {
  return {
    id,
    traits,
    setC,
    airC: setC,
    compressorOn: false,
    changedMs: startMs - 3_600_000,
    coolingW: 0,
    failed: false,
    doorOpenUntilMs: 0,
  };
}

/** How fast an open door changes the air for the room's (W/K). Simulated value, no source. */
const OPEN_DOOR_W_PER_K = 45;

/** One step of the fridge's air. `kegsW` is the heat that the kegs took from it in this step. */
export function stepFridge(fridge: FridgeTruth, nowMs: number, dtS: number, roomC: number, kegsW: number): void {
  const { traits } = fridge;
  const rested = nowMs - fridge.changedMs >= traits.restS * 1000;
  const half = traits.hysteresisK / 2;
  if (fridge.compressorOn && (fridge.failed || fridge.airC < fridge.setC - half)) {
    fridge.compressorOn = false;
    fridge.changedMs = nowMs;
  } else if (!fridge.compressorOn && !fridge.failed && rested && fridge.airC > fridge.setC + half) {
    fridge.compressorOn = true;
    fridge.changedMs = nowMs;
  }
  const wantedW = fridge.compressorOn ? traits.coolingW : 0;
  fridge.coolingW += (wantedW - fridge.coolingW) * (1 - Math.exp(-dtS / traits.evaporatorLagS));
  const inflowWPerK = traits.wallWPerK + (nowMs < fridge.doorOpenUntilMs ? OPEN_DOOR_W_PER_K : 0);
  const heatW = inflowWPerK * (roomC - fridge.airC) - fridge.coolingW - kegsW;
  fridge.airC += (heatW * dtS) / traits.airJPerK;
}

/**
 * What the estimate costs: one keg's step, three hundred kegs, two weeks replayed. Held against the bare arithmetic that no
 * cloud of two-layered particles can do without: each particle's two exchanges, over plain arrays and nothing else.
 * `node test/bench/estimate.ts` prints it.
 */
import process from 'node:process';
import { pathToFileURL } from 'node:url';
import { estimateModel } from '../../src/app/estimate-model.ts';
import { Replay } from '../../src/app/replay.ts';
import type { KegEvent } from '../../src/domain/event.ts';
import { KegTrack } from '../../src/domain/keg-track.ts';
import { type Figure, printFigure } from './figure.ts';

const STEP_MS = 300_000;
const HOUR_MS = 3_600_000;
const START_MS = Date.UTC(2026, 2, 1, 12);
const PARTICLES = 1000;
const KEGS = 300;
const REPLAY_DAYS = 14;
const CHECK_HOURS = [26, 74, 122, 170];

/** The same keg for all: cooled from 18 °C, on gas, closed for four hours on days 1, 3, 5 and 7. */
function eventsOf(kegId: string): KegEvent[] {
  const bodies: [number, KegEvent['body']][] = [
    [0, { kind: 'keg-filled', totalLitres: 19.5, beerLitres: 18.5, beerState: 'flat', probe: 'thermowell' }],
    [0.01, { kind: 'headspace-purged', times: 5, kpaGauge: 200 }],
    [0.02, { kind: 'gas-opened' }],
    ...CHECK_HOURS.flatMap((hour): [number, KegEvent['body']][] => [
      [hour, { kind: 'gas-closed' }],
      [hour + 4, { kind: 'gas-opened' }],
    ]),
  ];
  return bodies.map(([hour, body], index) => {
    const atMs = START_MS + hour * HOUR_MS;
    return { eventId: `${kegId}-${index}`, subject: { kind: 'keg', id: kegId }, atMs, enteredAtMs: atMs, body };
  });
}

const beerC = (hours: number): number => 4 + 14 * Math.exp(-hours / 10) + 0.05 * Math.sin(hours * 40);

function kpaGauge(hours: number): number {
  const closed = CHECK_HOURS.find((hour) => hours >= hour && hours < hour + 4);
  return closed === undefined ? 70 + 0.2 * Math.sin(hours * 7) : 45 + 25 * Math.exp(-(hours - closed) / 2);
}

/** Milliseconds of processor time of the cheapest of some rounds: what else the machine does only ever adds. */
function best(rounds: number, work: () => void): number {
  let leastMs = Number.POSITIVE_INFINITY;
  for (let round = 0; round < rounds; round += 1) {
    const before = process.cpuUsage();
    work();
    const { user, system } = process.cpuUsage(before);
    leastMs = Math.min(leastMs, (user + system) / 1000);
  }
  return leastMs;
}

/** One step of a cloud stripped to its arithmetic: two exponentials and two exchanges a particle (ms). */
function bareStepMs(): number {
  const column = (value: number) => Float64Array.from({ length: PARTICLES }, (_, index) => value * (1 + index / 1e4));
  const [top, bulk, surfaceRate, mixRate] = [column(1), column(1), column(1e-4), column(2e-5)];
  const steps = 400;
  const work = () => {
    for (let step = 0; step < steps; step += 1) {
      for (let index = 0; index < PARTICLES; index += 1) {
        const upper = top[index] ?? 0;
        const risen = upper + (2.3 - upper) * (1 - Math.exp(-300 * (surfaceRate[index] ?? 0)));
        const moved = (risen - (bulk[index] ?? 0)) * (1 - Math.exp(-300 * (mixRate[index] ?? 0)));
        top[index] = risen - moved / 1.07;
        bulk[index] = (bulk[index] ?? 0) + moved / 16;
      }
    }
  };
  const ms = best(5, work) / steps;
  if (!top.every(Number.isFinite)) throw new Error('the limit of the estimate bench is no number');
  return ms;
}

/** Milliseconds a step of the estimate alone, over a day with a check in it. */
function stepMs(): number {
  const filling = {
    ...{ atMs: START_MS, totalL: 19.5, beerL: 18.5, diameterM: null, beerC: 18, fermentedC: null },
    ...({ beerState: 'flat', thermometer: 'thermowell', onGasSinceMs: START_MS } as const),
  };
  const ambient = { kpaAbsolute: 100, fromBarometer: false };
  const keg = estimateModel.begin(filling, ambient, { seed: 1 });
  let atMs = START_MS;
  const day = () => {
    for (let step = 0; step < 288; step += 1, atMs += STEP_MS) {
      const hours = (atMs - START_MS) / HOUR_MS;
      const kind = CHECK_HOURS.includes(hours) ? 'gas-closed' : 'gas-opened';
      const eventful = CHECK_HOURS.includes(hours) || CHECK_HOURS.includes(hours - 4);
      keg.advance({
        ...{ fromMs: atMs, toMs: atMs + STEP_MS, beerC: beerC(hours), headspaceKpaGauge: kpaGauge(hours) },
        ...{ ambientKpaAbsolute: 100, ambientFromBarometer: false, co2Ratio: 1 },
        events: eventful ? [{ kind, atMs }] : [],
      });
    }
  };
  day();
  return best(5, day) / 288;
}

/** A track with a keg on it that has been on gas for a day. */
function aTrack(kegId: string): KegTrack {
  const track = new KegTrack({ altitudeM: 100, co2Ratio: 1, seed: 1, keepMs: 7 * 24 * HOUR_MS }, estimateModel);
  for (const event of eventsOf(kegId)) track.enter(event);
  return track;
}

function hear(track: KegTrack, kegId: string, atMs: number): void {
  const hours = (atMs - START_MS) / HOUR_MS;
  const common = { measuredAtMs: atMs, absolute: false };
  track.accept({ ...common, probeId: `${kegId}-t`, quantity: 'beer-temperature', value: beerC(hours) });
  track.accept({ ...common, probeId: `${kegId}-p`, quantity: 'headspace-pressure', value: kpaGauge(hours) });
}

/** Milliseconds a step of one keg with all that is said of it afterwards, over a day with a check in it. */
function trackedStepMs(): number {
  const track = aTrack('one');
  let atMs = START_MS;
  const day = () => {
    for (let step = 0; step < 288; step += 1, atMs += STEP_MS) {
      hear(track, 'one', atMs);
      track.output(atMs + STEP_MS);
    }
  };
  day();
  return best(5, day) / 288;
}

/** Milliseconds in which a number of kegs, each with its own cloud, take one step one after the other. */
function roundMs(): number {
  const tracks = Array.from({ length: KEGS }, (_, index) => ({ id: `keg-${index}`, track: aTrack(`keg-${index}`) }));
  let atMs = START_MS;
  const round = () => {
    for (const { id, track } of tracks) {
      hear(track, id, atMs);
      track.output(atMs + STEP_MS);
    }
    atMs += STEP_MS;
  };
  for (let warm = 0; warm < 3; warm += 1) round();
  return best(5, round);
}

/** Milliseconds for two weeks of one keg, a reading a minute of each quantity, told every quarter hour. */
function replayMs(): number {
  const work = () => {
    const replay = new Replay({ kegId: 'one', events: eventsOf('one'), everyMs: 900_000, seed: 1 });
    let lines = 0;
    for (let minute = 0; minute < REPLAY_DAYS * 1440; minute += 1) {
      const atMs = START_MS + minute * 60_000;
      for (const [quantity, value] of [
        ['beer-temperature', beerC(minute / 60)],
        ['headspace-pressure', kpaGauge(minute / 60)],
      ] as const) {
        const taken = replay.take({ quantity, atMs, value, unit: null });
        if (!taken.ok) throw new Error(`the bench's own reading was refused: ${taken.reason}`);
        lines += taken.lines.length;
      }
    }
    if (lines < REPLAY_DAYS * 96 - 1) throw new Error(`the replay said ${lines} lines only`);
  };
  return best(2, work);
}

export function benchEstimate(): Figure[] {
  const bareMs = bareStepMs();
  const limitIs = `bare arithmetic of ${PARTICLES} particles`;
  const allMs = roundMs();
  return [
    { what: 'a step of the estimate alone', measured: stepMs(), limit: bareMs, unit: 'ms', limitIs },
    { what: 'a step of one keg, told', measured: trackedStepMs(), limit: bareMs, unit: 'ms', limitIs },
    {
      what: `${KEGS} kegs, each told once in 5 min (${((100 * allMs) / STEP_MS).toFixed(2)} % of a core)`,
      measured: allMs,
      limit: KEGS * bareMs,
      unit: 'ms',
      limitIs,
    },
    {
      what: 'two weeks of one keg replayed',
      measured: replayMs() / 1000,
      limit: (bareMs * REPLAY_DAYS * 288) / 1000,
      unit: 's',
      limitIs,
    },
  ];
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  for (const figure of benchEstimate()) printFigure(figure);
}

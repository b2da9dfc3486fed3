import type { Curve } from '../../../src/contract/curve.ts';
import type { VerdictKind } from '../../../src/contract/state.ts';
import { equilibriumVolumes } from '../../../src/physics/carbonation.ts';
import { celsius, kpaAbsolute } from '../../../src/physics/units.ts';
import { SAMPLE_HEALTH } from '../../../web/components/alert-health/sample-health.ts';
import { SAMPLE_BATCHES } from '../../../web/components/batch-list/sample-batches.ts';
import { SAMPLE_CHANNELS, SAMPLE_PERSON } from '../../../web/components/channel-row/sample-channels.ts';
import { SAMPLE_LEARNT } from '../../../web/components/clean-fills/sample-learnt.ts';
import { IN_NEED } from '../../../web/components/delivery/sample-reports.ts';
import { sampleFill } from '../../../web/components/fill-bottles/sample-fill.ts';
import { SAMPLE_AFTERWARDS } from '../../../web/components/fill-keeping/sample-afterwards.ts';
import { REPORTS } from '../../../web/components/gas-check/sample-reports.ts';
import { CREEP_RULE, FRIDGE_RULE, ROOM_RULE } from '../../../web/components/rule-row/sample-rules.ts';
import { SAMPLE_ALERT, SILENT_ALERT } from '../../../web/components/sample-states.ts';
import { COMES_IN } from '../../../web/components/what-if/sample-answers.ts';
import type { FakeService } from './fake-service.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const AMBIENT_KPA = 100.8;

/** An invented week of one keg: chilled, set, a gap of four hours, a colder fridge. Hour 0 is the filling. */
export function sampleCurve(nowMs: number, hours: number, withEstimate: boolean, batchId = 'b1'): Curve {
  const bucketMs = Math.max(MINUTE_MS, Math.round((hours * HOUR_MS) / 500));
  const count = Math.floor((hours * HOUR_MS) / bucketMs);
  const times = Array.from({ length: count }, (_, index) => nowMs - (count - 1 - index) * bucketMs);
  const rows = times.map((at) => sampleRow(146 - (nowMs - at) / HOUR_MS, withEstimate));
  const column = (pick: (row: Row) => number | null): (number | null)[] => rows.map(pick);
  const extremes = (pick: (row: Row) => number | null, half: number) => ({
    min: column((row) => shifted(pick(row), -half)),
    mean: column(pick),
    max: column((row) => shifted(pick(row), half)),
  });
  return {
    kegId: 'right',
    batchId,
    from: new Date(times[0] ?? nowMs).toISOString(),
    to: new Date(nowMs).toISOString(),
    bucketMs,
    verdicts: SAID.map(([hour, kind, headline]) => ({
      at: new Date(nowMs + (hour - 146) * HOUR_MS).toISOString(),
      kind,
      headline,
    })),
    gaps: [{ from: gapEnd(nowMs, 82), to: gapEnd(nowMs, 86), cause: 'service-down' }],
    columns: {
      time: times.map((at) => new Date(at).toISOString()),
      beerTemperatureC: extremes((row) => row.beerC, 0.15),
      headspaceKpaGauge: extremes((row) => row.kpa, 0.8),
      airTemperatureC: extremes((row) => row.airC, 1.2),
      equilibriumVolumes: column((row) => row.end),
      dissolvedVolumes: column((row) => row.dissolved),
      dissolvedLow: column((row) => shifted(row.dissolved, -row.half)),
      dissolvedHigh: column((row) => shifted(row.dissolved, row.half)),
    },
  };
}

/** What was said of it, by hours after the filling. */
const SAID: readonly (readonly [hour: number, kind: VerdictKind, headline: string])[] = [
  [0, 'unknown', 'It takes half an hour of temperature and pressure to tell.'],
  [4, 'wait', 'Time alone will do it: inside the window in 3 days.'],
  [86, 'unknown', 'Look at the beer thermometer: silent for 4 h. Has it power and network?'],
  [88, 'wait', 'Wait until the beer is at 2.0\u00a0°C, 6 h from now.'],
  [104, 'ready', 'Fill whenever you like.'],
  [128, 'act', 'Turn the regulator to 63\u00a0kPa.'],
];
const gapEnd = (nowMs: number, hour: number): string => new Date(nowMs + (hour - 146) * HOUR_MS).toISOString();

interface Row {
  readonly beerC: number | null;
  readonly kpa: number | null;
  readonly airC: number | null;
  readonly end: number | null;
  readonly dissolved: number | null;
  /** Half the width of its band. */
  readonly half: number;
}

function sampleRow(hour: number, withEstimate: boolean): Row {
  if (hour < 0 || (hour > 82 && hour < 86))
    return { beerC: null, kpa: null, airC: null, end: null, dissolved: null, half: 0 };
  const beerC =
    (hour < 86 ? 3.5 + 4.1 * Math.exp(-hour / 11) : 1.4 + 2.1 * Math.exp(-(hour - 86) / 8)) +
    0.05 * Math.sin(hour * 1.1);
  const kpa = hour < 66 ? 69 : hour < 120 ? 62 + 0.4 * Math.sin(hour) : 62 + 25 * ((hour - 120) / 26) ** 1.15;
  const end = equilibriumVolumes(celsius(beerC), kpaAbsolute(kpa + AMBIENT_KPA));
  const dissolved = withEstimate ? 2.4 - 1.5 * Math.exp(-hour / 45) : null;
  // Wide at first, narrowed by a gas check of four hours on the second day, slowly wider again since.
  const half =
    hour < 44 ? 0.42 * Math.exp(-hour / 90) : Math.max(0.09, 0.26 - 0.045 * (hour - 44)) + 0.0005 * (hour - 44);
  return { beerC, kpa, airC: beerC - 0.6 + 0.8 * Math.sin(hour * 3), end, dissolved, half };
}

const shifted = (value: number | null, by: number): number | null => (value === null ? null : value + by);

/** What the keg on the right was taught by its last beer. */
const LEARNT = {
  batchId: 'b-1',
  batchName: 'Tin Hat Porter',
  endedAt: '2026-03-01T18:30:00.000Z',
  days: 3.1,
  lowDays: 2.2,
  highDays: 4.5,
  cooling: { hours: 10.4, lowHours: 9.1, highHours: 11.9 },
};

/** Answers of the API for the sample kegs. */
export function giveSampleAnswers(service: FakeService, nowMs: number): void {
  const give = (path: string, body: unknown): void => void service.answers.set(`GET ${path}`, { status: 200, body });
  const at = (hoursAgo: number): string => new Date(nowMs - hoursAgo * HOUR_MS).toISOString();
  give('/site', {
    altitudeM: 0,
    altitudeAssumed: true,
    timeZone: 'Europe/Vienna',
    line: null,
    units: { temperature: 'Cel', pressure: 'kPa', carbonation: 'volumes', volume: 'L' },
  });
  give('/access', { claimed: false, accounts: [], claimNeedsToken: false, you: { role: 'owner', sessionId: null } });
  give('/places', { places: [{ placeId: 'fridge', name: 'Garage fridge' }] });
  give('/supplies', { supplies: [{ supplyId: 'gas', name: 'Gas', co2Ratio: 1, cylinderKg: 5 }] });
  const keg = { capacityL: 19, diameterMetres: null, workingKpaGaugeMax: 900, placeId: 'fridge', supplyId: 'gas' };
  give('/rules', { rules: [FRIDGE_RULE, CREEP_RULE, ROOM_RULE] });
  give('/channels', { channels: SAMPLE_CHANNELS });
  give('/people', { people: [SAMPLE_PERSON] });
  give('/alerts/health', SAMPLE_HEALTH);
  give('/kegs', { kegs: [{ kegId: 'right', name: 'Right keg', batchId: 'b1', ...keg }], suggestions: [] });
  for (const [kegId, estimated] of [
    ['right', true],
    ['left', false],
    ['middle', true],
    ['one', false],
  ] as const) {
    give(`/kegs/${kegId}`, { kegId, name: kegId, batchId: 'b1', ...keg });
    give(`/kegs/${kegId}/curve`, sampleCurve(nowMs, 146, estimated));
    give(`/kegs/${kegId}/gas-check`, kegId === 'one' ? REPORTS.empty : REPORTS.before);
    give(`/kegs/${kegId}/learning`, { kegId, learnt: kegId === 'right' ? LEARNT : null, forgottenAt: null });
    give(`/kegs/${kegId}/events`, { events: sampleEvents(kegId, at) });
  }
  give('/batches', { batches: SAMPLE_BATCHES });
  for (const batch of SAMPLE_BATCHES) {
    const { batchId, endedAt } = batch;
    give(`/batches/${batchId}`, batch);
    give(`/batches/${batchId}/ready-times`, { batchId, inWindowAt: null, readyAt: null, forecasts: [] });
    const endMs = endedAt === null ? nowMs : Date.parse(endedAt);
    give(`/batches/${batchId}/curve`, sampleCurve(endMs, 146, batchId !== 'b-2', batchId));
  }
  const fill = sampleFill();
  give('/fills', { fills: [] });
  give('/fills/f1', fill);
  give('/fills/f1/afterwards', SAMPLE_AFTERWARDS);
  give('/tastings', { tastings: [] });
  give('/clean-fills', SAMPLE_LEARNT);
  service.answers.set('POST /what-if', { status: 200, body: COMES_IN });
  give('/probes', sampleProbes(at));
  give('/delivery', IN_NEED);
  give('/rejections', {
    count: 3,
    rejections: [
      {
        topic: 'probes/one/beer-temperature',
        at: at(1),
        reason: '85 °C is what this thermometer says when it was just switched on',
        sample: '85.0',
      },
      { topic: 'probes/left/headspace-pressure', at: at(9), reason: 'not a number and not JSON', sample: 'offline' },
    ],
  });
  give('/alerts', {
    alerts: [
      SAMPLE_ALERT,
      SILENT_ALERT,
      { ...SILENT_ALERT, id: 'a3', state: 'ended', beganAt: at(60), endedAt: at(56) },
    ],
  });
}

/** What was done with the batch before, by days ago. */
const EARLIER: readonly (readonly [id: string, kind: string, daysAgo: number, more: object])[] = [
  ['p1', 'keg-filled', 15.079, { totalLitres: 19, beerLitres: 18.1, beerState: 'flat' }],
  ['p2', 'gas-opened', 15, {}],
  ['p3', 'target-set', 14.9, { volumes: 2.4, tolerance: 0.2, celsius: 2 }],
  ['p4', 'beer-drawn', 9.8, { litres: 6 }],
  ['p5', 'keg-emptied', 9.0001, {}],
];

function sampleEvents(kegId: string, at: (hoursAgo: number) => string) {
  const event = (eventId: string, kind: string, hoursAgo: number, more = {}) => ({
    eventId,
    kind,
    at: at(hoursAgo),
    enteredAt: at(hoursAgo),
    kegId,
    ...more,
  });
  return [
    event('e1', 'keg-filled', 146, { totalLitres: 19, beerLitres: 18.4, beerState: 'flat' }),
    event('e2', 'headspace-purged', 145.8, { times: 5 }),
    event('e3', 'gas-opened', 145.7),
    event('e4', 'target-set', 145.5, { volumes: 2.45, tolerance: 0.15, celsius: 2 }),
    event('e5', 'regulator-set', 80, { kpaGauge: 62, supply: 'gas' }),
    event('e6', 'fridge-set', 60, { celsius: 1.5, place: 'fridge' }),
    event('e7', 'gas-closed', 1),
    ...(kegId === 'middle' ? EARLIER.map(([eventId, kind, days, more]) => event(eventId, kind, days * 24, more)) : []),
  ];
}

function sampleProbes(at: (hoursAgo: number) => string) {
  const probe = (of: string, quantity: string, unit: string, value: number, ageMs: number, state = 'fresh') => ({
    probeId: `${of.replace('/', '.')}.${quantity}`,
    topic: `probes/${of}/${quantity}`,
    pointer: null,
    unit: null,
    quantity,
    of,
    reference: null,
    place: null,
    timeUnit: null,
    availability: null,
    calibration: [],
    lastHeardAt: new Date(Date.now() - ageMs).toISOString(),
    lastValue: value,
    lastUnit: unit,
    state,
    ageMs,
    usualIntervalMs: 60_000,
    device: null,
    amiss: null,
    doubted: null,
  });
  return {
    probes: [
      probe('right', 'beer-temperature', 'Cel', 1.4, 12_000),
      probe('right', 'headspace-pressure', 'kPa', 87.6, 14_000),
      probe('left', 'beer-temperature', 'Cel', 3.1, 12_000),
      probe('left', 'headspace-pressure', 'kPa', 78, 14_000),
      probe('place/fridge', 'air-temperature', 'Cel', 2.2, 40_000),
      probe('place/fridge', 'bottle-temperature', 'Cel', 3.9, 9_000_000, 'stale'),
      probe('gas/gas', 'cylinder-mass', 'kg', 1.9, 120_000),
      probe('site', 'ambient-pressure', 'kPa', 100.8, 40_000),
    ],
    heard: [{ topic: 'garage/shelf-7/temp', sample: '{"t":4.3,"bat":81}', lastHeardAt: at(0.002), messages: 412 }],
  };
}

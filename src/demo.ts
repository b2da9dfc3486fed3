import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectProbePublisher } from './adapters/mqtt/probe-publisher.ts';
import type { Ingest } from './app/ingest.ts';
import type { Outcome } from './app/outcome.ts';
import type { Services } from './app/services.ts';
import {
  BatchStart,
  BottleEntry,
  EventEntry,
  FillChange,
  FillStart,
  KegChange,
  PlaceChange,
  SiteChange,
  SupplyChange,
} from './contract/index.ts';
import type { Clock } from './ports/clock.ts';
import type { Log } from './ports/log.ts';
import { type Demo, demoCellar } from './simulate/demo.ts';

const SEED = 1;
const PUBLISH_EVERY_MS = 1000;
const IMPORT_CHUNK = 5000;

export interface DemoOptions {
  readonly services: Services;
  readonly ingest: Ingest;
  readonly clock: Clock;
  readonly log: Log;
  readonly mqttUrl: string;
  readonly folder: string;
}

/** Fills an empty installation with the demo's kegs and lets their probes speak. Resolves when the history is in. */
export async function startDemo({
  services,
  ingest,
  clock,
  log,
  mqttUrl,
  folder,
}: DemoOptions): Promise<() => Promise<void>> {
  const { anchorMs, isFirst } = readAnchor(join(folder, 'demo.json'), clock.nowMs());
  const demo = demoCellar({ seed: SEED, anchorMs });
  if (isFirst) {
    seedCatalogue(services, demo);
    await seedFills(services, demo);
  }
  // The probes kept on measuring while the service was away: what it has not heard yet comes first, as past readings.
  const known = services.probes.all().map(({ rhythm }) => rhythm.lastMeasuredAtMs);
  const heardUntilMs = known.length === 0 ? Number.NEGATIVE_INFINITY : Math.max(...known);
  const past = demo.cellar.advanceTo(clock.nowMs()).filter(({ atMs }) => atMs > heardUntilMs);
  for (let from = 0; from < past.length; from += IMPORT_CHUNK) {
    await ingest.importPast(past.slice(from, from + IMPORT_CHUNK));
  }
  const publisher = await connectProbePublisher(mqttUrl);
  const stop = clock.every(PUBLISH_EVERY_MS, () => {
    for (const { topic, payload } of demo.cellar.advanceTo(clock.nowMs())) {
      publisher.publish(topic, payload).catch((error: Error) => log.warn(`the demo cannot publish: ${error.message}`));
    }
  });
  return async () => {
    stop();
    await publisher.close();
  };
}

/** The moment of the demo's first start: the same kegs are made from it again after a restart. */
function readAnchor(path: string, nowMs: number): { anchorMs: number; isFirst: boolean } {
  try {
    const { anchorMs } = JSON.parse(readFileSync(path, 'utf8'));
    if (Number.isFinite(anchorMs) && anchorMs <= nowMs) return { anchorMs, isFirst: false };
  } catch {
    // No file yet, or none that can be read: a new demo.
  }
  writeFileSync(path, JSON.stringify({ anchorMs: nowMs }));
  return { anchorMs: nowMs, isFirst: true };
}

/** Through the same checks and changes as the dashboard's own requests. */
function seedCatalogue({ placeChanges, kegChanges }: Services, { seedCatalogue: seed }: Demo): void {
  must(placeChanges.putSite(SiteChange.parse(seed.site)));
  for (const { placeId, body } of seed.places) must(placeChanges.putPlace(placeId, PlaceChange.parse(body)));
  for (const { supplyId, body } of seed.supplies) must(placeChanges.putSupply(supplyId, SupplyChange.parse(body)));
  for (const { kegId, body } of seed.kegs) must(kegChanges.putKeg(kegId, KegChange.parse(body)));
  for (const { kegId, body } of seed.batches) must(kegChanges.startBatch(kegId, BatchStart.parse(body)));
  for (const { kegId, body } of seed.events) must(kegChanges.addEvent(kegId, EventEntry.parse(body)));
}

/** Fills that are over, written bottle by bottle as a phone would. */
async function seedFills({ fills }: Services, { seedCatalogue: seed }: Demo): Promise<void> {
  for (const { fillId, start, bottles, end } of seed.fills) {
    must(await fills.start(FillStart.parse({ ...start, fillId })));
    for (const { bottleId, body } of bottles) must(await fills.putBottle(fillId, bottleId, BottleEntry.parse(body)));
    must(await fills.change(fillId, FillChange.parse(end)));
  }
}

function must<T>(outcome: Outcome<T>): void {
  if (!outcome.ok) throw new Error(`the demo's own entries are refused: ${outcome.detail}`);
}

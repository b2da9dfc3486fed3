import type { Batch, Keg, Place, Site, Supply } from '../domain/catalogue.ts';
import type { KegEvent } from '../domain/event.ts';
import type { Probe } from '../domain/probe.ts';

/**
 * Keeps what people entered: the site, places, gas supplies, kegs, batches, probes and events. It is always a local
 * file, so its methods return at once; each write is durable when it returns, and throws if it cannot be made so.
 */
export interface Catalogue {
  site(): Site;
  saveSite(site: Site): void;
  places(): Place[];
  savePlace(place: Place): void;
  removePlace(placeId: string): void;
  supplies(): Supply[];
  saveSupply(supply: Supply): void;
  removeSupply(supplyId: string): void;
  kegs(): Keg[];
  saveKeg(keg: Keg): void;
  removeKeg(kegId: string): void;
  batches(): Batch[];
  saveBatch(batch: Batch): void;
  removeBatch(batchId: string): void;
  probes(): Probe[];
  saveProbe(probe: Probe): void;
  removeProbe(probeId: string): void;
  events(): KegEvent[];
  saveEvent(event: KegEvent): void;
  removeEvent(eventId: string): void;
  /** Kegs heard by MQTT that somebody does not want to be told of. */
  dismissedKegs(): string[];
  saveDismissedKeg(kegId: string, dismissed: boolean): void;
  /** Runs several writes as one: all of them are kept, or none. */
  together<T>(write: () => T): T;
}

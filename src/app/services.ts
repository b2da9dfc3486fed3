import type * as contract from '../contract/index.ts';
import type { AcknowledgeLinks } from './acknowledge-links.ts';
import type { AfterFills } from './after-fills.ts';
import type { AlertDesk } from './alert-desk.ts';
import type { EpisodeHealth } from './alert-health.ts';
import type { AlertWatch } from './alert-watch.ts';
import type { Channels } from './channels.ts';
import type { CleanFills } from './clean-fills.ts';
import type { CurveQuery } from './curve.ts';
import type { Devices } from './devices.ts';
import type { Feed } from './feed.ts';
import type { FillPlans } from './fill-plans.ts';
import type { Fills } from './fills.ts';
import type { GasChecks } from './gas-check.ts';
import type { KegChanges } from './keg-changes.ts';
import type { KegEstimates } from './keg-estimates.ts';
import type { KegExport } from './keg-export.ts';
import type { KegImport } from './keg-import.ts';
import type { Learning } from './learning.ts';
import type { Listening } from './listening.ts';
import type { LiveProbes } from './live-probes.ts';
import type { MachineReport } from './machine-watch.ts';
import type { Monitor } from './monitor.ts';
import type { PlaceChanges } from './place-changes.ts';
import type { ProbeChanges } from './probe-changes.ts';
import type { ReadyTimes } from './ready-times.ts';
import type { Register } from './register.ts';
import type { RuleChanges } from './rule-changes.ts';
import type { WhatIf } from './what-if.ts';

/** How the parts of the service are: null, or what is wrong. */
export interface Health {
  readonly broker: string | null;
  readonly spool: string | null;
  readonly store: string | null;
  /** The machine's own clock. */
  readonly clock: string | null;
}

/** Values on their way: received = stored + duplicates + rejected + waiting. */
export interface Ledger {
  readonly received: number;
  readonly stored: number;
  readonly duplicates: number;
  readonly rejected: number;
  readonly waiting: number;
}

/** All that the HTTP side may ask of the application. */
export interface Services {
  readonly register: Register;
  readonly probes: LiveProbes;
  readonly devices: Devices;
  readonly feed: Feed;
  readonly desk: AlertDesk;
  readonly rules: RuleChanges;
  readonly alertHealth: () => EpisodeHealth;
  readonly heartbeat: () => contract.AlertHealth['heartbeat'];
  readonly watch: AlertWatch;
  readonly monitor: Monitor;
  readonly listening: Listening;
  readonly curve: CurveQuery;
  readonly estimates: KegEstimates;
  readonly whatIf: WhatIf;
  readonly learning: Learning;
  readonly gasChecks: GasChecks;
  readonly fillPlans: FillPlans;
  readonly placeChanges: PlaceChanges;
  readonly kegChanges: KegChanges;
  readonly probeChanges: ProbeChanges;
  readonly kegExport: KegExport;
  readonly kegImport: KegImport;
  readonly channels: Channels;
  readonly acknowledgeLinks: AcknowledgeLinks;
  readonly readyTimes: ReadyTimes;
  readonly cleanFills: CleanFills;
  readonly fills: Fills;
  readonly afterFills: AfterFills;
  readonly nowMs: () => number;
  readonly health: () => Health;
  readonly ledger: () => Ledger;
  readonly deliveryReport: () => contract.Delivery;
  /** How many gaps of each cause were noted. */
  readonly gapCounts: () => ReadonlyMap<string, number>;
  /** What the service takes of the machine, and what is left; not told by a service that runs within a test. */
  readonly machine?: () => MachineReport;
}

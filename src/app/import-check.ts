import type * as contract from '../contract/index.ts';
import { newKeg } from '../domain/catalogue.ts';
import { type ProbeDirectory, probeDirectory } from '../domain/probe.ts';
import { describedProbe } from './described-probe.ts';
import { fillLineObjection } from './fill-import.ts';
import { importReading } from './import-reading.ts';
import { AHEAD_MS_MAX } from './keg-import.ts';

/** Finds what is wrong with entries and readings of a file, as far as that can be told without knowing where they go. */
export class ImportCheck {
  readonly #about: contract.KegAbout | null;
  readonly #directory: ProbeDirectory;
  readonly #nowMs: number;
  readonly #fillIds = new Set<string>();

  constructor(about: contract.KegAbout | null, nowMs: number) {
    this.#about = about;
    this.#directory = probeDirectory((about?.probes ?? []).flatMap((setting) => describedProbe(setting) ?? []));
    this.#nowMs = nowMs;
  }

  /** Null if nothing is wrong. */
  ofEvent({ entry }: contract.ImportEvent): string | null {
    const isAhead = Date.parse(entry.at) > this.#nowMs + AHEAD_MS_MAX;
    return isAhead ? 't: this entry lies in the future; correct its time' : null;
  }

  /** Null if nothing is wrong. To be asked in the order of the file: a fill stands before its bottles. */
  ofFillLine(line: contract.TransferFillLine): string | null {
    const objection = fillLineObjection(line, this.#nowMs + AHEAD_MS_MAX);
    if (objection !== null) return objection;
    if (line.kind === 'fill') this.#fillIds.add(line.fillId);
    if (line.kind !== 'bottle' || this.#fillIds.has(line.fillId)) return null;
    return `fillId: no good line of the fill ${line.fillId} stands before this bottle`;
  }

  /** Null if nothing is wrong. */
  ofReading(reading: contract.ImportReading): string | null {
    const { probe, keg } = reading;
    // A probe that the files do not describe may be known where they go.
    if (probe !== undefined && this.#directory.byId(probe) === null) return null;
    const described = this.#about?.keg;
    const whereabouts = described !== undefined && described.kegId === keg ? described : newKeg(keg);
    const imported = importReading(reading, whereabouts, this.#directory, this.#nowMs);
    return imported.ok ? null : imported.reason;
  }
}

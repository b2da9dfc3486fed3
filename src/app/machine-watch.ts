import type { Clock } from '../ports/clock.ts';
import type { Machine } from '../ports/machine.ts';

const LOOK_EVERY_MS = 30_000;
const MEGABYTE = 1e6;
/** With less than this on the disk somebody should make room; a database may double while it is tidied (bytes). */
const DISK_LOW_BYTES = 300 * MEGABYTE;
const DISK_ENOUGH_BYTES = 450 * MEGABYTE;
/** With less than this the system begins to end processes (bytes). */
const MEMORY_LOW_BYTES = 48 * MEGABYTE;
const MEMORY_ENOUGH_BYTES = 80 * MEGABYTE;

/** What stands in the way of going on for long; null where nothing does. */
export interface MachineTroubles {
  readonly disk: string | null;
  readonly memory: string | null;
  readonly backup: string | null;
}

export interface MachineReport {
  readonly residentBytes: number;
  readonly availableBytes: number | null;
  readonly freeDiskBytes: number | null;
  readonly openFiles: number | null;
  /** When the newest nightly backup was made; null if there is none. */
  readonly newestBackupMs: number | null;
}

export interface MachineWatchOptions {
  readonly clock: Clock;
  readonly machine: Machine;
  readonly backup: { trouble(): string | null; newestMs(): number | null };
}

/** Looks now and then at what the machine has left. */
export class MachineWatch {
  readonly #options: MachineWatchOptions;
  #lookedAtMs = Number.NEGATIVE_INFINITY;
  #disk: string | null = null;
  #memory: string | null = null;

  constructor(options: MachineWatchOptions) {
    this.#options = options;
  }

  troubles(): MachineTroubles {
    const { clock, machine, backup } = this.#options;
    const nowMs = clock.monotonicMs();
    if (nowMs - this.#lookedAtMs >= LOOK_EVERY_MS) {
      this.#lookedAtMs = nowMs;
      const [disk, memory] = [machine.freeDiskBytes(), machine.availableBytes()];
      this.#disk = scarce(disk, this.#disk, DISK_LOW_BYTES, DISK_ENOUGH_BYTES);
      this.#memory = scarce(memory, this.#memory, MEMORY_LOW_BYTES, MEMORY_ENOUGH_BYTES);
    }
    return { disk: this.#disk, memory: this.#memory, backup: backup.trouble() };
  }

  report(): MachineReport {
    const { machine, backup } = this.#options;
    return {
      residentBytes: machine.residentBytes(),
      availableBytes: machine.availableBytes(),
      freeDiskBytes: machine.freeDiskBytes(),
      openFiles: machine.openFiles(),
      newestBackupMs: backup.newestMs(),
    };
  }
}

/** Scarce from one limit on, until there is clearly more. The words keep the first figure, so that they do not tick. */
function scarce(left: number | null, before: string | null, low: number, enough: number): string | null {
  if (left === null || left > enough) return null;
  if (before !== null) return before;
  return left < low ? `${Math.floor(left / MEGABYTE)} MB are left` : null;
}

/** What the machine has left for the service, and what the service takes of it. Null where the system does not say. */
export interface Machine {
  /** On the disk of the data folder, for this user (bytes). */
  freeDiskBytes(): number | null;
  /** Memory that could still be had (bytes). */
  availableBytes(): number | null;
  /** Memory that this process takes (bytes). */
  residentBytes(): number;
  openFiles(): number | null;
}

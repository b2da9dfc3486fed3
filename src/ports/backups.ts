export type BackupOutcome =
  | { readonly ok: true; readonly name: string; readonly bytes: number }
  /** In words for the person who runs the service. */
  | { readonly ok: false; readonly trouble: string };

/** Where nightly backups are made and lie. */
export interface Backups {
  /** Makes one and tries it out; never rejects. At most one at a time. */
  make(): Promise<BackupOutcome>;
  /** Nightly ones that are there, with the moment of each. Throws if the folder cannot be read. */
  list(): readonly { readonly name: string; readonly atMs: number }[];
  remove(name: string): void;
  /** Breaks off one that is being made. */
  stop(): void;
}

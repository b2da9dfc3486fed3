import { ArchiveError, isArchiveName } from './tar.ts';

export const MANIFEST_NAME = 'manifest.json';
/** A data folder holds a handful of databases and some segments of the spool. */
export const FILES_MAX = 10_000;
const FORMAT = 1;

export interface ManifestFile {
  /** Where it stands in the data folder, such as `spool/0000000001.log`. */
  readonly name: string;
  readonly bytes: number;
  /** Lower-case hex. */
  readonly sha256: string;
}

/** What a backup says of itself; the first file of its archive. */
export interface Manifest {
  readonly format: number;
  /** Version of the program that made it. */
  readonly madeBy: string;
  /** RFC 3339, UTC. */
  readonly madeAt: string;
  /** What belongs to the service and is not in here, in words. */
  readonly without: readonly string[];
  readonly files: readonly ManifestFile[];
}

export function manifestText(manifest: Omit<Manifest, 'format'>): string {
  return `${JSON.stringify({ format: FORMAT, ...manifest }, null, 2)}\n`;
}

/** Reads what a backup says of itself. Throws `ArchiveError`. */
export function readManifest(text: string): Manifest {
  const told = parsed(text);
  if (told.format !== FORMAT) {
    const newer = typeof told.format === 'number' && told.format > FORMAT;
    throw new ArchiveError(
      newer
        ? `the backup was made by a newer version (${String(told.madeBy)}); update the program, then restore`
        : 'this is no backup: its manifest has no known format',
    );
  }
  const { madeBy, madeAt, without, files } = told;
  if (typeof madeBy !== 'string' || typeof madeAt !== 'string' || !isTexts(without) || !Array.isArray(files))
    throw new ArchiveError('the manifest of the backup is damaged');
  if (files.length > FILES_MAX) throw new ArchiveError(`the manifest names more than ${FILES_MAX} files`);
  const known = files.map(readFile);
  const names = new Set(known.map(({ name }) => name));
  if (names.size < known.length) throw new ArchiveError('the manifest names a file twice');
  return { format: FORMAT, madeBy, madeAt, without, files: known };
}

function parsed(text: string): Record<string, unknown> {
  try {
    const told: unknown = JSON.parse(text);
    if (typeof told === 'object' && told !== null) return { ...told };
  } catch {
    // Told below.
  }
  throw new ArchiveError('this is no backup: its first file is no manifest');
}

function readFile(told: unknown): ManifestFile {
  const { name, bytes, sha256 } =
    typeof told === 'object' && told !== null ? { ...told } : ({} as Record<string, unknown>);
  if (typeof name !== 'string' || !isArchiveName(name) || name === MANIFEST_NAME)
    throw new ArchiveError(`the manifest names ${JSON.stringify(name)}, which is no file of a data folder`);
  if (typeof bytes !== 'number' || !Number.isSafeInteger(bytes) || bytes < 0)
    throw new ArchiveError(`the manifest tells no size of ${name}`);
  if (typeof sha256 !== 'string' || !/^[0-9a-f]{64}$/.test(sha256))
    throw new ArchiveError(`the manifest tells no checksum of ${name}`);
  return { name, bytes, sha256 };
}

function isTexts(told: unknown): told is readonly string[] {
  return Array.isArray(told) && told.every((text) => typeof text === 'string');
}

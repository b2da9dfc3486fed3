import { createHash } from 'node:crypto';
import { createReadStream, createWriteStream } from 'node:fs';
import { type FileHandle, mkdir, open } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip, createGzip } from 'node:zlib';
import { MANIFEST_NAME, type Manifest, type ManifestFile, manifestText, readManifest } from './manifest.ts';
import { ArchiveError, BLOCK_BYTES, readTarHeader, TAR_END, tarHeader, tarPadding } from './tar.ts';

/** Fast rather than small: a board's processor has other things to do. */
const GZIP_LEVEL = 2;
const MANIFEST_BYTES_MAX = 4 << 20;

/** Size and checksum of a file as it stands in a folder. */
export async function describeFile(folder: string, name: string): Promise<ManifestFile> {
  const hash = createHash('sha256');
  let bytes = 0;
  for await (const chunk of createReadStream(join(folder, name))) {
    hash.update(chunk);
    bytes += chunk.length;
  }
  return { name, bytes, sha256: hash.digest('hex') };
}

/** Writes the named files of a folder as one compressed archive, its manifest first, and syncs it. Only the owner may read it. */
export async function writeArchive(folder: string, manifest: Omit<Manifest, 'format'>, path: string): Promise<void> {
  const target = createWriteStream(path, { flags: 'wx', mode: 0o600 });
  await pipeline(Readable.from(archiveBytes(folder, manifest)), createGzip({ level: GZIP_LEVEL }), target);
  await synced(path);
}

async function* archiveBytes(folder: string, manifest: Omit<Manifest, 'format'>): AsyncGenerator<Buffer> {
  const text = Buffer.from(manifestText(manifest));
  yield Buffer.concat([tarHeader({ name: MANIFEST_NAME, bytes: text.length }), text, tarPadding(text.length)]);
  for (const { name, bytes } of manifest.files) {
    yield tarHeader({ name, bytes });
    let written = 0;
    for await (const chunk of createReadStream(join(folder, name))) {
      written += chunk.length;
      yield chunk;
    }
    if (written !== bytes) throw new ArchiveError(`${name} changed while it was put into the archive`);
    yield tarPadding(bytes);
  }
  yield TAR_END;
}

/**
 * Unpacks a backup into a folder that is there already, and syncs what it writes. `look` sees the manifest before anything
 * is written, and may throw. Throws `ArchiveError` for an archive that is not ours, is damaged, or is not whole.
 */
export async function readArchive(
  path: string,
  folder: string,
  look: (manifest: Manifest) => void | Promise<void> = () => undefined,
): Promise<Manifest> {
  const source = createReadStream(path);
  const unzipped = source.pipe(createGunzip());
  source.on('error', (error) => unzipped.destroy(error));
  const bytes = new ByteReader(unzipped);
  try {
    const manifest = await firstManifest(bytes);
    await look(manifest);
    const missing = new Map(manifest.files.map((file) => [file.name, file]));
    for (let entry = await nextEntry(bytes); entry !== null; entry = await nextEntry(bytes)) {
      const file = missing.get(entry.name);
      if (file === undefined)
        throw new ArchiveError(`${entry.name} stands in the archive twice, or not in its manifest`);
      if (file.bytes !== entry.bytes) throw new ArchiveError(`${entry.name} has another size than the manifest says`);
      missing.delete(entry.name);
      await unpack(bytes, file, folder);
    }
    const [lost] = missing.keys();
    if (lost !== undefined) throw new ArchiveError(`the backup is not whole: ${lost} is missing`);
    return manifest;
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? '';
    // zlib's own words name neither the file nor what to do.
    if (code.startsWith('Z_'))
      throw new ArchiveError(`this is no backup, or a damaged one (${code})`, { cause: error });
    throw error;
  } finally {
    source.destroy();
    unzipped.destroy();
  }
}

async function firstManifest(bytes: ByteReader): Promise<Manifest> {
  const entry = await nextEntry(bytes);
  if (entry?.name !== MANIFEST_NAME || entry.bytes > MANIFEST_BYTES_MAX)
    throw new ArchiveError('this is no backup: its first file is no manifest');
  const text: Buffer[] = [];
  for await (const chunk of bytes.take(entry.bytes)) text.push(chunk);
  await skip(bytes, tarPadding(entry.bytes).length);
  return readManifest(Buffer.concat(text).toString('utf8'));
}

async function nextEntry(bytes: ByteReader) {
  const block: Buffer[] = [];
  for await (const chunk of bytes.take(BLOCK_BYTES)) block.push(chunk);
  return readTarHeader(Buffer.concat(block));
}

async function unpack(bytes: ByteReader, { name, bytes: size, sha256 }: ManifestFile, folder: string): Promise<void> {
  const path = join(folder, name);
  await mkdir(dirname(path), { recursive: true });
  const hash = createHash('sha256');
  // `wx`: whatever stands there already, a link for one, is not written through.
  const file = await open(path, 'wx', 0o600);
  try {
    for await (const chunk of bytes.take(size)) {
      hash.update(chunk);
      await writeAll(file, chunk);
    }
    await file.sync();
  } finally {
    await file.close();
  }
  if (hash.digest('hex') !== sha256) throw new ArchiveError(`${name} is damaged: its checksum is another`);
  await skip(bytes, tarPadding(size).length);
}

async function writeAll(file: FileHandle, chunk: Buffer): Promise<void> {
  for (let at = 0; at < chunk.length; ) at += (await file.write(chunk, at)).bytesWritten;
}

async function skip(bytes: ByteReader, count: number): Promise<void> {
  for await (const _ of bytes.take(count));
}

/** Waits until a file's bytes, or a folder's names, are on the disk. */
export async function synced(path: string): Promise<void> {
  const file = await open(path, 'r');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
}

/** A stream in portions of chosen length; never holds more than one chunk of it. */
class ByteReader {
  readonly #chunks: AsyncIterator<Buffer>;
  #rest: Buffer = Buffer.alloc(0);

  constructor(stream: AsyncIterable<Buffer>) {
    this.#chunks = stream[Symbol.asyncIterator]();
  }

  async *take(count: number): AsyncGenerator<Buffer> {
    let left = count;
    while (left > 0) {
      if (this.#rest.length === 0) {
        const { done, value } = await this.#chunks.next();
        if (done) throw new ArchiveError('the backup is not whole: the file ends too early');
        this.#rest = value;
      }
      const part = this.#rest.subarray(0, left);
      this.#rest = this.#rest.subarray(part.length);
      left -= part.length;
      yield part;
    }
  }
}

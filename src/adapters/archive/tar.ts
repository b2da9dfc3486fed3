/**
 * The few parts of the tar format that a backup needs: plain files with short names, in order. Everything else that an
 * archive can hold (links, devices, folders, extensions, absolute names) is refused when reading, because nothing of ours
 * writes it.
 * @source POSIX.1-2017, pax, "ustar Interchange Format"; sizes from 8 GiB on as GNU tar writes them (base 256)
 */

export const BLOCK_BYTES = 512;
/** An archive ends with two blocks of zeros. */
export const TAR_END = Buffer.alloc(2 * BLOCK_BYTES);

const NAME_BYTES_MAX = 100;
const SIZE_AT = 124;
const SIZE_BYTES = 12;
const CHECKSUM_AT = 148;
const CHECKSUM_BYTES = 8;
const TYPE_AT = 156;
const OCTAL_SIZE_MAX = 8 ** 11 - 1;
const BASE_256 = 0x80;

/** One file, or one in the folder `spool`; no way leads out of the folder that it is unpacked into. */
const NAME = /^(?:spool\/)?[A-Za-z0-9][A-Za-z0-9._-]{0,79}$/;

export const isArchiveName = (name: string): boolean => NAME.test(name);

/** An archive that is not one of ours, is damaged, or wants more than a backup may; the message says which and where. */
export class ArchiveError extends Error {
  override readonly name = 'ArchiveError';
}

export interface TarEntry {
  readonly name: string;
  readonly bytes: number;
}

/** The block before a file. The time is always the same, so that the same files give the same archive. */
export function tarHeader({ name, bytes }: TarEntry): Buffer {
  if (!isArchiveName(name)) throw new ArchiveError(`${JSON.stringify(name)} is no name for a file of a backup`);
  const block = Buffer.alloc(BLOCK_BYTES);
  block.write(name, 0, NAME_BYTES_MAX, 'latin1');
  block.write('0000600\0', 100, 'latin1');
  block.write('0000000\0', 108, 'latin1');
  block.write('0000000\0', 116, 'latin1');
  writeSize(block, bytes);
  block.write('00000000000\0', 136, 'latin1');
  block.write('0', TYPE_AT, 'latin1');
  block.write('ustar\u000000', 257, 'latin1');
  block.write(`${octal(checksumOf(block), 6)}\0 `, CHECKSUM_AT, 'latin1');
  return block;
}

/** Zeros that fill the last block of a file. */
export function tarPadding(bytes: number): Buffer {
  return Buffer.alloc((BLOCK_BYTES - (bytes % BLOCK_BYTES)) % BLOCK_BYTES);
}

/** Reads the block before a file; null at the end of the archive. Throws `ArchiveError` for anything but a plain file. */
export function readTarHeader(block: Buffer): TarEntry | null {
  if (block.every((byte) => byte === 0)) return null;
  const told = /^([0-7]{6})\0 $/.exec(block.toString('latin1', CHECKSUM_AT, CHECKSUM_AT + CHECKSUM_BYTES))?.[1];
  if (told === undefined || Number.parseInt(told, 8) !== checksumOf(block))
    throw new ArchiveError('this is no backup, or a damaged one: a file has no whole head');
  const name = textOf(block, 0, NAME_BYTES_MAX);
  const shown = JSON.stringify(name);
  const type = String.fromCharCode(block[TYPE_AT] ?? 0);
  // Old programs write a zero for a plain file; ours never did.
  if (type !== '0')
    throw new ArchiveError(
      `${shown} is no plain file (type ${JSON.stringify(type)}): links, folders and devices are refused`,
    );
  if (textOf(block, 345, 155) !== '' || !isArchiveName(name))
    throw new ArchiveError(`${shown} is no name of a backup's file: it could lead out of the data folder`);
  const bytes = readSize(block);
  if (!Number.isSafeInteger(bytes) || bytes < 0) throw new ArchiveError(`${shown} has no readable size`);
  return { name, bytes };
}

function writeSize(block: Buffer, bytes: number): void {
  if (bytes <= OCTAL_SIZE_MAX) {
    block.write(`${octal(bytes, 11)}\0`, SIZE_AT, 'latin1');
    return;
  }
  block.writeBigUInt64BE(BigInt(bytes), SIZE_AT + SIZE_BYTES - 8);
  block[SIZE_AT] = BASE_256;
}

function readSize(block: Buffer): number {
  if (block[SIZE_AT] === BASE_256) return Number(block.readBigUInt64BE(SIZE_AT + SIZE_BYTES - 8));
  const text = textOf(block, SIZE_AT, SIZE_BYTES).trim();
  return /^[0-7]+$/.test(text) ? Number.parseInt(text, 8) : Number.NaN;
}

/** The sum of all bytes, those of the checksum itself taken as blanks. */
function checksumOf(block: Buffer): number {
  let sum = CHECKSUM_BYTES * 0x20;
  for (const [at, byte] of block.entries()) {
    if (at < CHECKSUM_AT || at >= CHECKSUM_AT + CHECKSUM_BYTES) sum += byte;
  }
  return sum;
}

function octal(value: number, digits: number): string {
  return value.toString(8).padStart(digits, '0');
}

/** A text that ends at a zero or fills its field. */
function textOf(block: Buffer, at: number, length: number): string {
  const field = block.toString('latin1', at, at + length);
  const end = field.indexOf('\0');
  return end === -1 ? field : field.slice(0, end);
}

import { crc32 } from 'node:zlib';
import type { SpoolRecord } from '../../ports/spool.ts';

/**
 * A record on disk: magic (4 bytes), length of the body (u32), CRC-32 of the body (u32), body. The body: time of receipt
 * (f64), flags (u8), length of the topic (u16), topic, payload, and where flagged the number of its clock line (u32). All little-endian. The magic lets a reader find the next
 * record behind a damaged stretch.
 */
const MAGIC = 0x514b5231;
const HEAD_BYTES = 12;
const BODY_HEAD_BYTES = 11;
const FLAG_RETAINED = 1;
const FLAG_IMPORT = 2;
const FLAG_CLOCK_LINE = 4;
const CLOCK_LINE_BYTES = 4;

/** Larger bodies are taken for damage: payloads are bounded far below. */
export const BODY_BYTES_MAX = 1 << 20;

export function encodeRecord(record: SpoolRecord): Buffer {
  const { clockLine } = record;
  const topic = Buffer.from(record.topic, 'utf8');
  const lineBytes = clockLine === undefined ? 0 : CLOCK_LINE_BYTES;
  const bodyBytes = BODY_HEAD_BYTES + topic.length + record.payload.byteLength + lineBytes;
  if (bodyBytes > BODY_BYTES_MAX) throw new RangeError(`a message of ${bodyBytes} bytes is too large for the spool`);
  const buffer = Buffer.allocUnsafe(HEAD_BYTES + bodyBytes);
  buffer.writeUInt32LE(MAGIC, 0);
  buffer.writeUInt32LE(bodyBytes, 4);
  buffer.writeDoubleLE(record.receivedAtMs, HEAD_BYTES);
  buffer.writeUInt8(
    (record.retained ? FLAG_RETAINED : 0) |
      (record.policy === 'import' ? FLAG_IMPORT : 0) |
      (clockLine === undefined ? 0 : FLAG_CLOCK_LINE),
    HEAD_BYTES + 8,
  );
  buffer.writeUInt16LE(topic.length, HEAD_BYTES + 9);
  topic.copy(buffer, HEAD_BYTES + BODY_HEAD_BYTES);
  buffer.set(record.payload, HEAD_BYTES + BODY_HEAD_BYTES + topic.length);
  if (clockLine !== undefined) buffer.writeUInt32LE(clockLine, buffer.length - CLOCK_LINE_BYTES);
  buffer.writeUInt32LE(crc32(buffer.subarray(HEAD_BYTES)), 8);
  return buffer;
}

type ReadRecord =
  | { readonly kind: 'record'; readonly record: SpoolRecord; readonly nextOffset: number }
  /** The record is not whole yet: more bytes may follow, or the file ends torn. */
  | { readonly kind: 'short' }
  /** Not a record; one may begin at or after `nextOffset`. */
  | { readonly kind: 'damaged'; readonly nextOffset: number };

/**
 * Reads whole records from `offset` on, at most `limit`, passing over damage; returns them, the place behind the last, and how much
 * damage lies between them.
 * `toEnd` says that nothing follows `bytes`: then a record that seems to reach beyond them is damage if another whole one
 * follows, and else the torn end of the file, before which reading stops.
 */
export function readRecords(
  bytes: Buffer,
  offset: number,
  limit: number,
  toEnd: boolean,
): { records: SpoolRecord[]; offset: number; damagedBytes: number } {
  const records: SpoolRecord[] = [];
  let behind = offset;
  let damagedBytes = 0;
  let at = offset;
  while (records.length < limit) {
    const read = readRecord(bytes, at);
    if (read.kind === 'short') {
      if (!toEnd || bytes.length - at < HEAD_BYTES) break;
      at = nextMagic(bytes, at + 1);
      continue;
    }
    if (read.kind === 'record') {
      records.push(read.record);
      // What lies between two whole records was one, or more than one.
      damagedBytes += at - behind;
      behind = read.nextOffset;
    }
    at = read.nextOffset;
  }
  return { records, offset: behind, damagedBytes };
}

/** Reads the record that begins at `offset` of `bytes`. */
function readRecord(bytes: Buffer, offset: number): ReadRecord {
  if (bytes.length - offset < HEAD_BYTES) return { kind: 'short' };
  const bodyBytes = bytes.readUInt32LE(offset + 4);
  if (bytes.readUInt32LE(offset) !== MAGIC || bodyBytes < BODY_HEAD_BYTES || bodyBytes > BODY_BYTES_MAX) {
    return { kind: 'damaged', nextOffset: nextMagic(bytes, offset + 1) };
  }
  const start = offset + HEAD_BYTES;
  if (bytes.length - start < bodyBytes) return { kind: 'short' };
  const body = bytes.subarray(start, start + bodyBytes);
  if (crc32(body) !== bytes.readUInt32LE(offset + 8))
    return { kind: 'damaged', nextOffset: nextMagic(bytes, offset + 1) };
  const topicBytes = body.readUInt16LE(9);
  const flags = body.readUInt8(8);
  const hasLine = (flags & FLAG_CLOCK_LINE) !== 0;
  const payloadEnd = body.length - (hasLine ? CLOCK_LINE_BYTES : 0);
  const record: SpoolRecord = {
    receivedAtMs: body.readDoubleLE(0),
    retained: (flags & FLAG_RETAINED) !== 0,
    policy: (flags & FLAG_IMPORT) !== 0 ? 'import' : 'live',
    topic: body.toString('utf8', BODY_HEAD_BYTES, BODY_HEAD_BYTES + topicBytes),
    payload: new Uint8Array(body.subarray(BODY_HEAD_BYTES + topicBytes, payloadEnd)),
  };
  return {
    kind: 'record',
    nextOffset: start + bodyBytes,
    record: hasLine ? { ...record, clockLine: body.readUInt32LE(payloadEnd) } : record,
  };
}

const MAGIC_BYTES = Buffer.alloc(4);
MAGIC_BYTES.writeUInt32LE(MAGIC, 0);

function nextMagic(bytes: Buffer, from: number): number {
  const found = bytes.indexOf(MAGIC_BYTES, from);
  // The first bytes of a magic may stand at the very end.
  return found === -1 ? Math.max(from, bytes.length - 3) : found;
}

import { createHash } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { manifestText } from '../../src/adapters/archive/manifest.ts';
import { TAR_END, tarHeader, tarPadding } from '../../src/adapters/archive/tar.ts';

export interface Made {
  readonly name: string;
  readonly text: string;
  /** What stands in the archive instead. */
  readonly bytes?: Buffer;
}

/** An archive with a true manifest of some files, in which any block can be another. */
export function archived(
  path: string,
  files: readonly Made[],
  change: (tar: Buffer) => Buffer = (tar) => tar,
  manifest?: string,
): string {
  const told = files.map(({ name, text }) => ({ name, bytes: text.length, sha256: sha256(text) }));
  const head = manifest ?? manifestText({ madeBy: '9.9.9', madeAt: '2026-06-01T00:00:00Z', without: [], files: told });
  const blocks = [{ name: 'manifest.json', text: head }, ...files].flatMap(({ name, text, ...other }: Made) => [
    other.bytes ?? tarHeader({ name, bytes: Buffer.byteLength(text) }),
    Buffer.from(text),
    tarPadding(Buffer.byteLength(text)),
  ]);
  writeFileSync(path, gzipSync(change(Buffer.concat([...blocks, TAR_END]))));
  return path;
}

export function sha256(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}

/** A head as a program without scruples writes it: any name, any type, and the checksum is right. */
export function anyHead(name: string, bytes: number, type = '0', linkName = ''): Buffer {
  const head = tarHeader({ name: 'a', bytes });
  head.fill(0, 0, 100);
  head.write(name, 0, 100, 'latin1');
  head.write(type, 156, 'latin1');
  head.write(linkName, 157, 'latin1');
  head.fill(' ', 148, 156);
  const sum = head.reduce((total, byte) => total + byte, 0);
  head.write(`${sum.toString(8).padStart(6, '0')}\0 `, 148, 'latin1');
  return head;
}

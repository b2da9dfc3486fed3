import type { Socket } from 'node:net';

/** The longest MQTT packet that is taken (bytes), its topic included: sixteen times the longest payload that is read. */
export const PACKET_BYTES_MAX = 256 * 1024;
/** A remaining length has at most so many bytes. @source MQTT 3.1.1, section 2.2.3 */
const LENGTH_BYTES_MAX = 4;

/**
 * Ends a connection as soon as it announces a packet that is too long. The broker itself would gather up to 256 MiB of it
 * in memory before it looks.
 */
export function refuseLongPackets(socket: Socket, onRefused: (bytes: number) => void = () => undefined): void {
  const watch = new PacketWatch();
  socket.on('data', (chunk: Buffer) => {
    const tooLong = watch.read(chunk);
    if (tooLong === null) return;
    onRefused(tooLong);
    socket.destroy();
  });
}

/** Follows the heads of packets in a stream; what lies between is passed over. */
export class PacketWatch {
  /** Bytes of the packet at hand that are still to come. */
  #left = 0;
  /** Null between packets; else the remaining length as far as it has been read. */
  #length: { value: number; bytes: number } | null = null;

  /** The length of a packet that is too long, or null. */
  read(chunk: Buffer): number | null {
    let at = 0;
    while (at < chunk.length) {
      if (this.#left > 0) {
        const passed = Math.min(this.#left, chunk.length - at);
        this.#left -= passed;
        at += passed;
        continue;
      }
      const byte = chunk[at] ?? 0;
      at += 1;
      if (this.#length === null) {
        this.#length = { value: 0, bytes: 0 };
        continue;
      }
      this.#length.value += (byte & 0x7f) * 128 ** this.#length.bytes;
      this.#length.bytes += 1;
      if (this.#length.value > PACKET_BYTES_MAX) return this.#length.value;
      if ((byte & 0x80) !== 0 && this.#length.bytes < LENGTH_BYTES_MAX) continue;
      this.#left = this.#length.value;
      this.#length = null;
    }
    return null;
  }
}

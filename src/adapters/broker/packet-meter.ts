/** Bits of a length that each byte carries; the top bit says that another byte follows. */
const LENGTH_BITS = 0x7f;
const MORE = 0x80;
const LENGTH_BYTES_MAX = 4;

/**
 * Follows the packets in a stream by their lengths alone, so that one that is too large is known before it has come. The
 * broker itself would gather it whole.
 * @source MQTT 3.1.1 (OASIS 2014), section 2.2.3
 */
export class PacketMeter {
  readonly #bytesMax: number;
  /** Bytes of the packet that are still to come. */
  #left = 0;
  /** Bytes of its head that have come: its kind, then its length. */
  #head = 0;
  #length = 0;

  constructor(bytesMax: number) {
    this.#bytesMax = bytesMax;
  }

  /** False if a packet is larger than allowed, or its length is none. */
  pass(bytes: Uint8Array): boolean {
    for (let at = 0; at < bytes.length; ) {
      if (this.#left > 0) {
        const step = Math.min(this.#left, bytes.length - at);
        this.#left -= step;
        at += step;
        continue;
      }
      if (this.#head === 0) this.#begin();
      else if (!this.#takeLength(bytes[at] ?? 0)) return false;
      at += 1;
    }
    return true;
  }

  #begin(): void {
    this.#head = 1;
    this.#length = 0;
  }

  #takeLength(byte: number): boolean {
    this.#length += (byte & LENGTH_BITS) * 128 ** (this.#head - 1);
    this.#head += 1;
    if ((byte & MORE) !== 0) return this.#head <= LENGTH_BYTES_MAX;
    this.#left = this.#length;
    this.#head = 0;
    return this.#length <= this.#bytesMax;
  }
}

import { createCipheriv, createECDH, type ECDH, hkdfSync, randomBytes } from 'node:crypto';

const CURVE = 'prime256v1';
const RECORD_SIZE = 4096;

export interface Receiver {
  /** base64url, uncompressed point. */
  readonly p256dh: string;
  /** base64url, 16 bytes. */
  readonly auth: string;
}

/** What is else drawn by lot; given by tests alone. */
export interface Lots {
  readonly salt: Buffer;
  readonly sender: ECDH;
}

export function drawLots(): Lots {
  const sender = createECDH(CURVE);
  sender.generateKeys();
  return { salt: randomBytes(16), sender };
}

/**
 * Encrypts a message so that only the browser can read it.
 * @source RFC 8291, section 3.4, and RFC 8188, section 2 (aes128gcm, one record)
 */
export function encryptForBrowser(plaintext: Buffer, { p256dh, auth }: Receiver, { salt, sender }: Lots): Buffer {
  const receiverKey = Buffer.from(p256dh, 'base64url');
  const senderKey = sender.getPublicKey();
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), receiverKey, senderKey]);
  const shared = sender.computeSecret(receiverKey);
  const input = Buffer.from(hkdfSync('sha256', shared, Buffer.from(auth, 'base64url'), info, 32));
  const key = Buffer.from(hkdfSync('sha256', input, salt, 'Content-Encoding: aes128gcm\0', 16));
  const nonce = Buffer.from(hkdfSync('sha256', input, salt, 'Content-Encoding: nonce\0', 12));
  const cipher = createCipheriv('aes-128-gcm', key, nonce);
  // 2 marks the last record.
  const sealed = [cipher.update(plaintext), cipher.update(Buffer.from([2])), cipher.final(), cipher.getAuthTag()];
  const size = Buffer.alloc(4);
  size.writeUInt32BE(RECORD_SIZE);
  return Buffer.concat([salt, size, Buffer.from([senderKey.length]), senderKey, ...sealed]);
}

import { createPrivateKey, generateKeyPairSync, sign } from 'node:crypto';

/** How long a push service may take our word (s); RFC 8292 allows 24 h. */
const VALID_S = 12 * 3600;

/** Both base64url: the public one as an uncompressed point, as browsers want it. */
export interface VapidKeys {
  readonly publicKey: string;
  readonly privateKey: string;
}

export function makeVapidKeys(): VapidKeys {
  const { privateKey } = generateKeyPairSync('ec', { namedCurve: 'prime256v1' });
  const { x = '', y = '', d = '' } = privateKey.export({ format: 'jwk' });
  const point = [Buffer.from([4]), Buffer.from(x, 'base64url'), Buffer.from(y, 'base64url')];
  return { publicKey: Buffer.concat(point).toString('base64url'), privateKey: d };
}

/** Tells a push service who sends. @source RFC 8292, sections 2 and 3 (ES256: RFC 7518, section 3.4) */
export function vapidAuthorization(endpoint: string, contact: string, keys: VapidKeys, nowMs: number): string {
  const point = Buffer.from(keys.publicKey, 'base64url');
  const jwk = {
    kty: 'EC',
    crv: 'P-256',
    x: point.subarray(1, 33).toString('base64url'),
    y: point.subarray(33, 65).toString('base64url'),
    d: keys.privateKey,
  };
  const claims = { aud: new URL(endpoint).origin, exp: Math.floor(nowMs / 1000) + VALID_S, sub: contact };
  const encoded = [{ typ: 'JWT', alg: 'ES256' }, claims]
    .map((part) => Buffer.from(JSON.stringify(part)).toString('base64url'))
    .join('.');
  const key = createPrivateKey({ key: jwk, format: 'jwk' });
  const signature = sign('sha256', Buffer.from(encoded), { key, dsaEncoding: 'ieee-p1363' });
  return `vapid t=${encoded}.${signature.toString('base64url')}, k=${keys.publicKey}`;
}

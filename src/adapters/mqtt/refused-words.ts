/** "Bad user name or password" and "not authorised", of MQTT 3.1.1 and 5. */
export const REFUSALS: readonly unknown[] = [4, 5, 134, 135];
/** Nobody whom we trust vouches for the certificate. @source OpenSSL's names of verification errors, as Node gives them */
const UNTRUSTED: readonly unknown[] = [
  'DEPTH_ZERO_SELF_SIGNED_CERT',
  'SELF_SIGNED_CERT_IN_CHAIN',
  'UNABLE_TO_VERIFY_LEAF_SIGNATURE',
  'UNABLE_TO_GET_ISSUER_CERT',
  'UNABLE_TO_GET_ISSUER_CERT_LOCALLY',
  'CERT_SIGNATURE_FAILURE',
];

/** What kept us from a broker elsewhere, and where to look. */
export function refusedWords(error: Error, hasCa: boolean): string {
  const { code } = error as { readonly code?: unknown };
  if (REFUSALS.includes(code))
    return `it refuses our name or password; look at mqtt.user and mqtt.passwordFile (${error.message})`;
  if (UNTRUSTED.includes(code)) {
    const what = hasCa
      ? 'mqtt.caFile does not vouch for its certificate; take the one that its certificate was signed with'
      : 'nobody known vouches for its certificate; if you signed it yourself, name who did in mqtt.caFile';
    return `${what} (${error.message})`;
  }
  if (code === 'ERR_TLS_CERT_ALTNAME_INVALID')
    return `its certificate is for another name; use that name in mqtt.url (${error.message})`;
  if (code === 'CERT_HAS_EXPIRED' || code === 'CERT_NOT_YET_VALID')
    return `its certificate is out of date, or the clock of one of the two machines is wrong (${error.message})`;
  return error.message;
}

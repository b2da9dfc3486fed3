/** Nothing inline, nothing from elsewhere. Never `upgrade-insecure-requests`: on a plain name in a house it blanks the page. */
const PAGES =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";
/** For answers that are no pages. */
const ANSWERS = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

const YEAR_S = 365 * 24 * 3600;

export interface ResponsePlace {
  readonly isApi: boolean;
  /** The Host header, if it was found good. */
  readonly host: string | null;
  readonly isSecure: boolean;
  /** The owner says that this name is reached by HTTPS, for good. */
  readonly alwaysSecure: boolean;
}

/** Security headers of an answer. */
export function responseHeaders({ isApi, host, isSecure, alwaysSecure }: ResponsePlace): Record<string, string> {
  // Older Safari does not take a socket of the same host for 'self'.
  const sockets = host === null ? '' : ` ${isSecure ? 'wss' : 'ws'}://${host}`;
  return {
    'content-security-policy': isApi ? ANSWERS : `${PAGES}; connect-src 'self'${sockets}`,
    'x-content-type-options': 'nosniff',
    'referrer-policy': 'no-referrer',
    'cross-origin-resource-policy': 'same-origin',
    ...(isApi ? { 'cache-control': 'no-store' } : {}),
    // Browsers ignore these two on plain HTTP, the first with a complaint.
    ...(isSecure ? { 'cross-origin-opener-policy': 'same-origin' } : {}),
    ...(isSecure && alwaysSecure ? { 'strict-transport-security': `max-age=${YEAR_S}` } : {}),
  };
}

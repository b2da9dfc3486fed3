/** Longest that browsers keep a cookie (s). @source RFC 6265bis, section 5.5 (from memory): 400 days */
const COOKIE_S_MAX = 400 * 24 * 3600;

/**
 * The session's cookie. Browsers drop `Secure` and `__Host-` cookies on plain HTTP without a word, so they are used exactly where
 * the connection is encrypted. Cookies do not know ports: the port in the name keeps two services on one machine apart.
 */
export interface CookiePlace {
  readonly isSecure: boolean;
  readonly port: number;
}

export function cookieName({ isSecure, port }: CookiePlace): string {
  return isSecure ? `__Host-quietkeg-${port}` : `quietkeg-${port}`;
}

/** The token in a Cookie header; null if there is none, or more than one: then somebody meddled. */
export function cookieToken(header: string | undefined, place: CookiePlace): string | null {
  const name = cookieName(place);
  const values = (header ?? '')
    .split(';')
    .map((pair) => pair.trim())
    .filter((pair) => pair.startsWith(`${name}=`))
    .map((pair) => pair.slice(name.length + 1));
  const [value] = values;
  return values.length === 1 && value !== undefined && /^[\w-]{20,100}$/.test(value) ? value : null;
}

/** @source RFC 6265bis: SameSite=Strict keeps it from requests that other sites begin, HttpOnly from scripts. */
export function setCookie(token: string, place: CookiePlace): string {
  return `${cookieName(place)}=${token}; Path=/; Max-Age=${COOKIE_S_MAX}; HttpOnly; SameSite=Strict${place.isSecure ? '; Secure' : ''}`;
}

export function clearCookie(place: CookiePlace): string {
  return `${cookieName(place)}=; Path=/; Max-Age=0; HttpOnly; SameSite=Strict${place.isSecure ? '; Secure' : ''}`;
}

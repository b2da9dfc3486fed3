/**
 * Which names a request may call us by. A page elsewhere can make its own name lead to our address (DNS rebinding), and its
 * Origin then equals the Host it sends; so only names that are ours count. An address in digits cannot be led elsewhere.
 */

const HOST = /^(\[[0-9a-f:.]+\]|[a-z0-9._-]+?)\.?(?::(\d{1,5}))?$/i;
const IPV4 = /^(?:\d{1,3}\.){3}\d{1,3}$/;
const STANDARD_PORTS: readonly string[] = ['80', '443'];

/** The name in a Host header, in lower case without port; null if it is no such header. @source RFC 9110, section 7.2 */
export function hostNameOf(header: string | undefined): string | null {
  return header === undefined || header.length > 255 ? null : (HOST.exec(header)?.[1]?.toLowerCase() ?? null);
}

/** Whether the name is one of ours: an address, this machine's own name for itself, or one that the settings name. */
export function isOwnName(name: string, names: readonly string[]): boolean {
  return isAddress(name) || name === 'localhost' || name.endsWith('.localhost') || names.includes(name);
}

/** Whether only this machine itself is called so. */
export function isLoopbackName(name: string): boolean {
  return name === 'localhost' || name === '[::1]' || /^127\.(?:\d{1,3}\.){2}\d{1,3}$/.test(name);
}

function isAddress(name: string): boolean {
  return name.startsWith('[') || IPV4.test(name);
}

/**
 * Whether a page of `origin` is a page of ours, reached by the same name and port as `host`. Behind a proxy that says nothing
 * of it the scheme is not known, so it is compared only where the connection is known to be encrypted.
 */
export function isOwnOrigin(origin: string, host: string, isSecure: boolean): boolean {
  const [, scheme, place = ''] = /^(https?):\/\/([^/?#@\s]+)$/i.exec(origin) ?? [];
  if (scheme === undefined || (isSecure && scheme.toLowerCase() !== 'https')) return false;
  const there = HOST.exec(place);
  const here = HOST.exec(host);
  if (there === null || here === null) return false;
  return there[1]?.toLowerCase() === here[1]?.toLowerCase() && plainPort(there[2]) === plainPort(here[2]);
}

/** Browsers leave a scheme's usual port out; proxies between may not. */
function plainPort(port: string | undefined): string {
  return port === undefined || STANDARD_PORTS.includes(port) ? '' : port;
}

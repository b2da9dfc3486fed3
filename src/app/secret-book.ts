import { withoutSecrets } from '../domain/delivery/channel.ts';

/** What must never be read in a log, asked for anew for each line: channels change while the service runs. */
export class SecretBook {
  readonly #sources: (() => readonly string[])[] = [];

  follow(secrets: () => readonly string[]): void {
    this.#sources.push(secrets);
  }

  /** A text with every known secret blackened, as it is and as it stands in an address. */
  hide(text: string): string {
    const known = this.#sources.flatMap((secrets) => secrets());
    return withoutSecrets(text, [...new Set(known.flatMap((secret) => [secret, encodeURIComponent(secret)]))]);
  }
}

/** What an address of the settings gives away: its password, and for one that is a key by itself what stands behind the host. */
export function secretsInAddress(address: string | null, { pathIsSecret = false } = {}): string[] {
  const url = address === null ? null : URL.parse(address);
  if (url === null) return [];
  const plain = [url.password, decoded(url.password)];
  const behind = pathIsSecret ? [`${url.pathname}${url.search}`] : [];
  return [...plain, ...behind].filter((text) => text.length > 1);
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

import mqtt from 'mqtt';
import { REFUSALS } from './refused-words.ts';

const WAIT_MS_MAX = 5000;

/** True if a broker lets anybody in without a name, false if it refuses that, null if neither can be told. */
export function letsAnybodyIn(
  url: string,
  credentials: { readonly username?: string; readonly ca?: string } = {},
): Promise<boolean | null> {
  const address = new URL(url);
  if (address.username === '' && credentials.username === undefined) return Promise.resolve(true);
  address.username = '';
  address.password = '';
  return new Promise((resolve) => {
    const client = mqtt.connect(address.href, {
      ...(credentials.ca === undefined ? {} : { ca: credentials.ca }),
      clean: true,
      protocolVersion: 4,
      reconnectPeriod: 0,
      connectTimeout: WAIT_MS_MAX,
    });
    const tell = (answer: boolean | null) => {
      resolve(answer);
      client.end(true);
    };
    client.once('connect', () => tell(true));
    client.once('error', (error) => tell(REFUSALS.includes((error as { code?: unknown }).code) ? false : null));
    client.once('close', () => tell(null));
    client.on('error', () => undefined);
  });
}

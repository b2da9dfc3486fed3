import mqtt from 'mqtt';
import type { BrokerCredentials } from './mqtt-broker.ts';

const CONNECT_MS_MAX = 10_000;

/** Publishes one message at QoS 1 over a connection of its own. Rejects if the broker cannot be reached or does not take it. */
export async function publishOnce(
  url: string,
  clientId: string,
  topic: string,
  payload: string,
  credentials: BrokerCredentials = {},
): Promise<void> {
  const options = {
    ...credentials,
    rejectUnauthorized: true,
    clientId,
    reconnectPeriod: 0,
    connectTimeout: CONNECT_MS_MAX,
  };
  const client = await mqtt.connectAsync(url, options, false);
  client.on('error', () => {});
  try {
    await client.publishAsync(topic, payload, { qos: 1 });
  } finally {
    await client.endAsync(true).catch(() => undefined);
  }
}

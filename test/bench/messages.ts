/**
 * Two things a brewer feels: how soon a published value is on an open page, and how many messages a second go through the
 * whole embedded path. Held against the embedded broker's own library with a client that does nothing.
 */
import { createServer } from 'node:net';
import { Aedes } from 'aedes';
import mqtt, { type MqttClient } from 'mqtt';
import { openLive } from '../program/support/outside.ts';
import { startProgram, temporaryFolder } from '../program/support/running-program.ts';
import { type Figure, quantile } from './figure.ts';

const LATENCY_MESSAGES = 200;
const LATENCY_EVERY_MS = 20;
const SUSTAINED_MESSAGES = 20_000;
/** Messages on their way at the same time. */
const WINDOW = 500;

/** A bare broker with nothing behind it. */
async function bareBroker(): Promise<{ url: string; close: () => Promise<void> }> {
  const aedes = await Aedes.createBroker();
  const server = createServer((socket) => aedes.handle(socket));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  const port = typeof address === 'object' && address !== null ? address.port : 0;
  return {
    url: `mqtt://127.0.0.1:${port}`,
    close: async () => {
      await new Promise<void>((resolve) => aedes.close(() => resolve()));
      server.close();
    },
  };
}

/** Milliseconds from publishing each value until `arrived` tells of it. */
async function latencies(client: MqttClient, arrived: (listener: (value: number) => void) => void): Promise<number[]> {
  const sentAt = new Map<number, number>();
  const took: number[] = [];
  const all = new Promise<void>((resolve) => {
    arrived((value) => {
      const sent = sentAt.get(value);
      if (sent === undefined) return;
      sentAt.delete(value);
      took.push(performance.now() - sent);
      if (took.length === LATENCY_MESSAGES) resolve();
    });
  });
  for (let index = 0; index < LATENCY_MESSAGES; index += 1) {
    const value = 1 + index / 100;
    sentAt.set(value, performance.now());
    client.publish('probes/one/beer-temperature', String(value), { qos: 1 });
    await new Promise((resolve) => setTimeout(resolve, LATENCY_EVERY_MS));
  }
  // Values that were overtaken within one gathering never come by themselves: the page only wants the newest.
  await Promise.race([all, new Promise((resolve) => setTimeout(resolve, 1000))]);
  return took;
}

/** Messages a second that are acknowledged at QoS 1, with a bounded number on their way. */
async function sustained(client: MqttClient): Promise<number> {
  const began = performance.now();
  let sent = 0;
  const lane = async () => {
    while (sent < SUSTAINED_MESSAGES) {
      sent += 1;
      await client.publishAsync('probes/one/beer-temperature', String(2 + (sent % 300) / 100), { qos: 1 });
    }
  };
  await Promise.all(Array.from({ length: WINDOW }, lane));
  return SUSTAINED_MESSAGES / ((performance.now() - began) / 1000);
}

export async function benchMessages(): Promise<Figure[]> {
  const bare = await bareBroker();
  const folder = await temporaryFolder();
  const program = await startProgram({ folder: folder.path });
  try {
    const listener = await mqtt.connectAsync(bare.url);
    await listener.subscribeAsync('probes/#', { qos: 1 });
    const toBare = await mqtt.connectAsync(bare.url);
    const toProgram = await mqtt.connectAsync(`mqtt://127.0.0.1:${program.mqttPort}`);
    const alone = await latencies(toBare, (tell) => listener.on('message', (_topic, payload) => tell(Number(payload))));
    const live = await openLive(program);
    const whole = await latencies(toProgram, (tell) => {
      live.onFrame((frame) => {
        if (frame.type === 'keg' && frame.state.beerTemperatureC !== null) tell(frame.state.beerTemperatureC);
      });
    });
    live.close();
    const limitRate = await sustained(toBare);
    const rate = await sustained(toProgram);
    await Promise.all([listener, toBare, toProgram].map((client) => client.endAsync(true)));
    const limitIs = 'bare broker to a client that does nothing';
    return [
      {
        what: 'publish to page, median (50 ms of gathering included)',
        measured: quantile(whole, 0.5),
        limit: quantile(alone, 0.5),
        unit: 'ms',
        limitIs,
      },
      {
        what: 'publish to page, 99 of 100',
        measured: quantile(whole, 0.99),
        limit: quantile(alone, 0.99),
        unit: 'ms',
        limitIs,
      },
      { what: 'messages a second, synced, stored and shown', measured: rate, limit: limitRate, unit: '1/s', limitIs },
    ];
  } finally {
    await program.end('SIGTERM');
    await bare.close();
    await folder.remove();
  }
}

import { expect, test } from 'vitest';
import type { Delivery } from '../../src/contract/index.ts';
import { aBench, ready } from './support/bench.ts';
import { type Gate, openGate } from './support/gate.ts';
import { influxStore, lookUpNumbers } from './support/kept-numbers.ts';
import type { NumberedPublisher } from './support/numbered-publisher.ts';
import { eventually, getJson } from './support/outside.ts';
import type { RunningProgram } from './support/running-program.ts';
import { startInfluxd, startMosquitto } from './support/servers.ts';
import { settled } from './support/settled.ts';

/** Broker and store elsewhere, with a network between that fails, and a broker that is not set as it should be. */

const bench = aBench();

async function startedWith(environment: Readonly<Record<string, string>>): Promise<RunningProgram> {
  const program = await bench.program(environment);
  await ready(program);
  return program;
}

async function gateTo(port: number): Promise<Gate> {
  const gate = await openGate(port);
  bench.undo(() => gate.close());
  return gate;
}

const moreAcknowledged = (publisher: NumberedPublisher, more: number) => {
  const wanted = publisher.acknowledged.size + more;
  return eventually(
    async () => publisher.acknowledged.size,
    (size) => size >= wanted,
    20_000,
  );
};

test('networks that are cut and that swallow, and servers that stand still, cost nothing that was acknowledged', {
  timeout: 180_000,
}, async () => {
  const mosquitto = await bench.server(startMosquitto(bench.folder));
  const influxd = await bench.server(startInfluxd(bench.folder));
  const [toBroker, toStore] = [await gateTo(mosquitto.port), await gateTo(influxd.port)];
  const program = await startedWith({
    QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${toBroker.port}`,
    QUIETKEG_INFLUX_URL: `http://127.0.0.1:${toStore.port}`,
  });
  // The probe is on the broker's side of what fails.
  const publisher = bench.publisher(mosquitto.port);
  publisher.run(300);
  await moreAcknowledged(publisher, 300);
  for (const gate of [toBroker, toStore]) {
    gate.cut();
    await moreAcknowledged(publisher, 400);
    gate.mend();
    await moreAcknowledged(publisher, 200);
    gate.swallow();
    await moreAcknowledged(publisher, 400);
    gate.mend();
    await moreAcknowledged(publisher, 200);
  }
  influxd.freeze();
  await moreAcknowledged(publisher, 300);
  influxd.thaw();
  mosquitto.freeze();
  await new Promise((resolve) => setTimeout(resolve, 1000));
  mosquitto.thaw();
  await moreAcknowledged(publisher, 300);
  publisher.pause();
  await settled(publisher, program);
  await program.end('SIGTERM');
  const found = await lookUpNumbers(influxStore(influxd.port), publisher);
  expect(found).toMatchObject({ lost: [], doubled: [], wrong: [], kept: publisher.sent });
});

test('a broker without persistence and with a short queue is found out: what it lost is noted, and how to set it is told', {
  timeout: 120_000,
}, async () => {
  const careless = (settings: string) =>
    settings
      .replace(/^persistence true$/m, 'persistence false')
      .replace(/^autosave.*$/gm, '')
      .replace(/^max_queued_messages 0$/m, 'max_queued_messages 10')
      .concat('\nsys_interval 1\n');
  let mosquitto = await bench.server(startMosquitto(bench.folder, undefined, careless));
  const environment = { QUIETKEG_MQTT_URL: `mqtt://127.0.0.1:${mosquitto.port}` };
  let program = await startedWith(environment);
  const delivery = () => getJson<Delivery>(program, 'api/v1/delivery');
  const finding = (answer: Delivery, name: string) => answer.broker.audit.find((one) => one.name === name);
  const first = await eventually(delivery, (answer) => finding(answer, 'dropped')?.state === 'good');
  expect(first.broker).toMatchObject({ kind: 'elsewhere', version: expect.stringMatching(/mosquitto/), trouble: null });
  expect(finding(first, 'subscription')).toMatchObject({ state: 'good' });
  expect(finding(first, 'anonymous')).toMatchObject({
    state: 'act',
    setting: expect.stringMatching(/^allow_anonymous/),
  });
  await program.end('SIGTERM');
  const publisher = bench.publisher(mosquitto.port);
  for (let n = 0; n < 60; n += 1) publisher.publish();
  await moreAcknowledged(publisher, 60);
  program = await startedWith(environment);
  const second = await eventually(delivery, (answer) => finding(answer, 'dropped')?.state === 'act');
  expect(finding(second, 'dropped')?.setting).toMatch(/^max_queued_messages 0$/m);
  expect(finding(second, 'session')?.state).toBe('good');
  expect(second.gaps[0]).toMatchObject({ cause: 'broker-dropped' });
  await mosquitto.end('SIGKILL');
  mosquitto = await bench.server(startMosquitto(bench.folder, mosquitto.port, careless));
  const third = await eventually(delivery, (answer) => finding(answer, 'persistence')?.state === 'act');
  expect(finding(third, 'session')).toMatchObject({
    state: 'act',
    setting: expect.stringMatching(/^persistence true$/m),
  });
  expect(third.gaps[0]).toMatchObject({ cause: 'session-lost' });
});

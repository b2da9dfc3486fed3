/** Aim: the lengths of packets are followed however the network cuts them, as another implementation writes them. */
import { connect } from 'node:net';
import fc from 'fast-check';
import mqtt from 'mqtt';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { EmbeddedBroker, PACKET_BYTES_MAX } from '../../../src/adapters/broker/embedded-broker.ts';
import { PacketMeter } from '../../../src/adapters/broker/packet-meter.ts';
import { until } from '../../support/until.ts';

/** @source MQTT 3.1.1, section 2.2.3, table 2.4: the edges of one to four bytes of length */
const LENGTHS = [0, 1, 127, 128, 16_383, 16_384, PACKET_BYTES_MAX];

function packet(length: number): Buffer {
  const head: number[] = [0x30];
  let rest = length;
  do {
    const digit = rest % 128;
    rest = Math.floor(rest / 128);
    head.push(rest > 0 ? digit | 0x80 : digit);
  } while (rest > 0);
  return Buffer.concat([Buffer.from(head), Buffer.alloc(length, 0xff)]);
}

describe('the meter', () => {
  test.each(LENGTHS)('lets a packet of %d bytes pass, and sees the next one', (length) => {
    const meter = new PacketMeter(PACKET_BYTES_MAX);
    expect(meter.pass(Buffer.concat([packet(length), packet(3)]))).toBe(true);
    expect(meter.pass(packet(PACKET_BYTES_MAX + 1))).toBe(false);
  });

  test('is not misled by how the network cuts packets', () => {
    const lengths = fc.array(fc.oneof(fc.constantFrom(0, 1, 127, 128, 300), fc.nat(2000)), {
      minLength: 1,
      maxLength: 8,
    });
    fc.assert(
      fc.property(lengths, fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1 }), (sizes, cuts) => {
        const bytes = Buffer.concat([...sizes.map(packet), packet(PACKET_BYTES_MAX + 7).subarray(0, 50)]);
        const meter = new PacketMeter(PACKET_BYTES_MAX);
        // The head of the long one is its kind and three bytes of length.
        const knownAt = bytes.length - 50 + 4;
        for (let at = 0, n = 0; at < knownAt; n += 1) {
          const next = at + (cuts[n % cuts.length] ?? 1);
          expect(meter.pass(bytes.subarray(at, next))).toBe(next < knownAt);
          at = next;
        }
      }),
    );
  });
});

describe('the embedded broker', () => {
  let broker: EmbeddedBroker;
  let heard: { topic: string; bytes: number }[];
  beforeEach(async () => {
    heard = [];
    broker = new EmbeddedBroker({ host: '127.0.0.1', port: 0 });
    await broker.start(['#'], ({ topic, payload }, done) => {
      heard.push({ topic, bytes: payload.byteLength });
      done(null);
    });
  });
  afterEach(() => broker.stop());

  const client = async () => {
    const made = await mqtt.connectAsync(`mqtt://127.0.0.1:${broker.port()}`, { reconnectPeriod: 0 });
    made.on('error', () => undefined);
    return made;
  };
  const topic = 'probes/one/beer-temperature';
  /** Two bytes of topic length, two of the packet's id. */
  const around = topic.length + 4;

  test('takes the longest packet, and ends the connection of a longer one', async () => {
    const good = await client();
    await good.publishAsync(topic, Buffer.alloc(PACKET_BYTES_MAX - around), { qos: 1 });
    expect(heard).toEqual([{ topic, bytes: PACKET_BYTES_MAX - around }]);
    const bad = await client();
    let isClosed = false;
    bad.on('close', () => {
      isClosed = true;
    });
    bad.publish(topic, Buffer.alloc(PACKET_BYTES_MAX - around + 1), { qos: 1 }, () => undefined);
    await until('the connection ends', () => isClosed);
    expect(heard).toHaveLength(1);
    // Others are not disturbed.
    await good.publishAsync(topic, '4.1', { qos: 1 });
    await good.endAsync(true);
    await bad.endAsync(true);
  });

  test('takes no more levels of a topic than it should', async () => {
    const good = await client();
    const deep = (levels: number) => Array(levels).fill('a').join('/');
    await good.publishAsync(deep(20), '1', { qos: 1 });
    expect(heard.map(({ topic: name }) => name)).toEqual([deep(20)]);
    let isClosed = false;
    good.on('close', () => {
      isClosed = true;
    });
    good.publish(deep(21), '1', { qos: 1 }, () => undefined);
    await until('the connection ends', () => isClosed);
    expect(heard).toHaveLength(1);
    await good.endAsync(true);
  });

  test('lets nobody announce a packet and send it drop by drop', async () => {
    const socket = connect(broker.port() ?? 0, '127.0.0.1');
    let isClosed = false;
    socket.on('close', () => {
      isClosed = true;
    });
    socket.on('error', () => undefined);
    // A CONNECT that says it is 200 MB long: four bytes of length.
    socket.write(Buffer.from([0x10, 0x80, 0x84, 0xaf, 0x5f]));
    await until('the connection ends', () => isClosed);
  });
});

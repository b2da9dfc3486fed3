import { GenericContainer, type StartedTestContainer, Wait } from 'testcontainers';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { InfluxEstimateStore } from '../../src/adapters/influx/influx-estimate-store.ts';
import { InfluxReadingStore } from '../../src/adapters/influx/influx-reading-store.ts';
import type { Reading } from '../../src/domain/reading.ts';
import { describeEstimateStore } from '../ports/estimate-store.suite.ts';
import { describeReadingStore } from '../ports/reading-store.suite.ts';
import { type Docker, useDocker } from './support/docker.ts';
import { influxImage } from './support/images.ts';

/** The reading store on a real InfluxDB 1.x, its refusals included. */

let docker: Docker;
let influx: StartedTestContainer;

beforeAll(async () => {
  docker = await useDocker();
  // Debian's 1.6 lists settings of [data] under these names, as 1.8 does.
  influx = await startInflux({ INFLUXDB_HTTP_MAX_BODY_SIZE: '40000', INFLUXDB_DATA_MAX_SERIES_PER_DATABASE: '1000' });
});

afterAll(async () => {
  await influx?.stop();
  await docker?.stop();
});

async function startInflux(environment: Record<string, string>): Promise<StartedTestContainer> {
  return new GenericContainer(await influxImage())
    .withEnvironment({ INFLUXDB_REPORTING_DISABLED: 'true', INFLUXDB_MONITOR_STORE_ENABLED: 'false', ...environment })
    .withExposedPorts(8086)
    .withWaitStrategy(Wait.forHttp('/ping', 8086).forStatusCode(204))
    .start();
}

const urlOf = (container: StartedTestContainer) => `http://${container.getHost()}:${container.getMappedPort(8086)}`;

/** What the server's own query language says, past our adapter. */
async function ask(query: string, database = ''): Promise<string> {
  const body = new URLSearchParams({ q: query, db: database });
  const response = await fetch(`${urlOf(influx)}/query`, { method: 'POST', body });
  return response.text();
}

async function openStore(database: string): Promise<InfluxReadingStore> {
  const store = new InfluxReadingStore({ url: urlOf(influx), database });
  await store.open();
  return store;
}

const NOON = Date.UTC(2026, 5, 1, 12);
const reading = (measuredAtMs: number, value: number, probeId = 'a'): Reading => ({
  probeId,
  measuredAtMs,
  value,
  receivedAtMs: measuredAtMs,
  timeFrom: 'device',
});
const seconds = (count: number, probeId = 'a') =>
  Array.from({ length: count }, (_, i) => reading(NOON + i * 1000, i, probeId));

describeEstimateStore('InfluxDB', async () => {
  const database = `estimates${Math.random().toString(36).slice(2)}`;
  return new InfluxEstimateStore({ url: `${urlOf(influx)}/${database}` });
});

describeReadingStore('InfluxReadingStore', async () => {
  let store = await openStore('suite');
  return {
    store,
    reopen: async () => {
      await store.close();
      store = await openStore('suite');
      return store;
    },
    remove: () => store.close(),
  };
});

describe('what InfluxDB answers', () => {
  test('a database that is not there is made on opening, to keep readings for ever', async () => {
    await (await openStore('made "here"')).close();
    expect(await ask('SHOW RETENTION POLICIES ON "made \\"here\\""')).toContain('["autogen","0s","8736h0m0s",1,true]');
  });

  test('a database that vanishes while in use is made again and nothing is lost', async () => {
    const store = await openStore('vanishing');
    await store.append(seconds(3));
    await ask('DROP DATABASE vanishing');
    expect(await store.append(seconds(5))).toEqual({ stored: 5, duplicates: 0, refused: [] });
    await ask('DROP DATABASE vanishing');
    expect(await store.latest('a', 9)).toEqual([]);
    await store.close();
  });

  test('too large a body is sent in parts', async () => {
    const store = await openStore('large');
    expect(await store.append(seconds(4000))).toEqual({ stored: 4000, duplicates: 0, refused: [] });
    expect(await store.extents()).toMatchObject([{ count: 4000 }]);
    await store.close();
  });
});

describe('sums in InfluxDB', () => {
  const hour = (store: InfluxReadingStore) => store.buckets('a', NOON, NOON + 3_600_000, 3_600_000);

  /** As if the program had died between two requests. */
  async function write(database: string, lines: readonly string[]): Promise<void> {
    const address = `${urlOf(influx)}/write?db=${database}&precision=ms`;
    expect((await fetch(address, { method: 'POST', body: lines.join('\n') })).status).toBe(204);
  }

  test('a crash after summing up minutes and before their readings went counts nothing twice', async () => {
    let store = await openStore('crash');
    await store.append([...seconds(120), reading(NOON + 3_700_000, 1)]);
    await store.retire('a', NOON, NOON + 120_000);
    await store.close();
    await write(
      'crash',
      seconds(120).map(({ measuredAtMs, value }) => `reading,probe=a value=${value} ${measuredAtMs}`),
    );
    store = await openStore('crash');
    expect(await store.retire('a', NOON, NOON + 120_000)).toBe(120);
    expect(await hour(store)).toEqual([{ startMs: NOON, min: 0, mean: 59.5, max: 119, count: 120 }]);
    expect(await store.buckets('a', NOON, NOON + 120_000, 60_000)).toMatchObject([{ count: 60 }, { count: 60 }]);
    await store.close();
  });

  test('a crash after a late reading does not hide it from the sums', async () => {
    let store = await openStore('late');
    await store.append([...seconds(120), reading(NOON + 3_700_000, 1)]);
    expect(await hour(store)).toMatchObject([{ max: 119, count: 120 }]);
    await store.append([reading(NOON + 500, 300)]);
    await store.close();
    store = await openStore('late');
    expect(await hour(store)).toMatchObject([{ max: 300, count: 121 }]);
    expect(await ask('SELECT * FROM reading_quarter_dirty', 'late')).not.toContain('values');
    expect(await ask('SELECT * FROM reading_quarter', 'late')).toContain('300');
    await store.close();
  });

  test('sums that are asked for while readings are retired are never too many or too few', async () => {
    const store = await openStore('busy');
    await store.append([...seconds(3600), reading(NOON + 3_700_000, 1)]);
    let isDone = false;
    const retiring = (async () => {
      for (let minute = 0; minute < 60; minute += 1) {
        expect(await store.retire('a', NOON + minute * 60_000, NOON + (minute + 1) * 60_000)).toBe(60);
      }
      isDone = true;
    })();
    const counts = new Set<number>();
    const asking = async (width: number) => {
      while (!isDone) {
        const buckets = await store.buckets('a', NOON, NOON + 3_600_000, width);
        counts.add(buckets.reduce((sum, { count }) => sum + count, 0));
      }
    };
    await Promise.all([retiring, asking(60_000), asking(60_000), asking(3_600_000)]);
    expect(counts).toEqual(new Set([3600]));
    await store.close();
  });
});

describe('what InfluxDB refuses', () => {
  test('readings older than the retention policy keeps are refused, the others of the batch are stored', async () => {
    await ask('CREATE DATABASE short WITH DURATION 2h SHARD DURATION 1h');
    const store = await openStore('short');
    const now = Date.now();
    const old = [reading(now - 86_400_000, 1), reading(now - 90_000_000, 2, 'b')];
    const outcome = await store.append([reading(now, 1), ...old, reading(now, 2)]);
    expect(outcome).toEqual({
      stored: 2,
      duplicates: 0,
      refused: old.map((one) => ({ reading: one, reason: "older than the database's retention policy keeps" })),
    });
    await store.close();
  });

  test('a field that another writer made a whole number refuses ours in that time only, and says so', async () => {
    await ask('CREATE DATABASE mixed WITH DURATION INF SHARD DURATION 1d');
    const point = `reading,probe=other value=1i ${NOON}000000`;
    await fetch(`${urlOf(influx)}/write?db=mixed`, { method: 'POST', body: point });
    const store = await openStore('mixed');
    const [clash, nextDay] = [reading(NOON, 4.5), reading(NOON + 2 * 86_400_000, 4.5)];
    const outcome = await store.append([nextDay, clash]);
    expect(outcome).toMatchObject({ stored: 1, refused: [{ reading: clash }] });
    expect(outcome.refused[0]?.reason).toMatch(/field type conflict.*already exists as type integer/);
    await store.close();
  });

  test('two reasons to refuse in one batch are told apart', async () => {
    await ask('CREATE DATABASE both WITH DURATION 2h SHARD DURATION 1h');
    const now = Date.now();
    await fetch(`${urlOf(influx)}/write?db=both`, {
      method: 'POST',
      body: `reading,probe=other value=1i ${now}000000`,
    });
    const store = await openStore('both');
    const outcome = await store.append([reading(now, 1), reading(now - 86_400_000, 1)]);
    expect(outcome.stored).toBe(0);
    expect(outcome.refused.map((one) => one.reason.slice(0, 19)).sort()).toEqual([
      'field type conflict',
      'older than the data',
    ]);
    await store.close();
  });

  test('a limit of series is a matter of settings: rejected, and the readings can be sent again later', async () => {
    const store = await openStore('crowded');
    const probes = Array.from({ length: 1200 }, (_, i) => reading(NOON, i, `probe-${i}`));
    await expect(store.append(probes)).rejects.toThrow(/limit of series is reached; raise it in the server's settings/);
    expect(await store.append(probes.slice(0, 300))).toMatchObject({ refused: [] });
    await store.close();
  });

  test('whole numbers and fractions are one float field', async () => {
    const store = await openStore('floats');
    expect(await store.append([reading(NOON, 12), reading(NOON + 1, 12.5), reading(NOON + 2, -3)])).toMatchObject({
      stored: 3,
    });
    expect(await ask('SHOW FIELD KEYS FROM reading', 'floats')).toContain('["value","float"]');
    await store.close();
  });

  test('a server that is frozen or gone rejects in bounded time, and the same batch goes through when it is back', async () => {
    const own = await startInflux({});
    const store = new InfluxReadingStore({ url: urlOf(own), requestMsMax: 1000 });
    await store.open();
    const { getContainerRuntimeClient } = await import('testcontainers');
    const container = (await getContainerRuntimeClient()).container.getById(own.getId());
    await container.pause();
    await expect(store.append(seconds(10))).rejects.toThrow(/InfluxDB at http:\/\/.*timed out/i);
    await expect(store.check()).rejects.toThrow(/timed out/i);
    await container.unpause();
    const outcome = await store.append(seconds(10));
    // Whether the frozen server took the first sending after all is for it to know; either way there are ten.
    expect(outcome.stored + outcome.duplicates).toBe(10);
    expect(await store.latest('a', 99)).toHaveLength(10);
    await own.stop();
    await expect(store.check()).rejects.toThrow(/ECONNREFUSED|ECONNRESET|socket hang up/);
    await store.close();
  });
});

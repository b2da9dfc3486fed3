import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import type { Fill, KeptEvent } from '../../../src/contract/index.ts';
import { buildDashboardIfStale } from '../../../web/build.ts';
import { anHttpWorld, type HttpWorld } from '../../support/http-world.ts';
import { World } from '../../support/world.ts';
import { PHONE, startBrowser } from '../support/browser.ts';

/**
 * Aim: no bottle is lost and none counted twice, whatever the network does. Method: the built pages in a real browser before
 * the real HTTP side and catalogue; what the service keeps at the end is asked of the service.
 */
let browser: Browser;
let dashboardFolder: string;
let world: World;
let http: HttpWorld;
let address: string;
let context: BrowserContext;
let page: Page;

beforeAll(async () => {
  dashboardFolder = await buildDashboardIfStale();
  browser = await startBrowser();
});
afterAll(() => browser?.close());
beforeEach(async () => {
  world = await World.make();
  world.fill('one', 'Slow Bicycle');
  await world.minutes(3, 1.2, 68);
  http = await anHttpWorld(world, { dashboardFolder });
  address = await http.server.listen({ host: '127.0.0.1', port: 0 });
  context = await browser.newContext({ viewport: PHONE, reducedMotion: 'reduce' });
  page = await context.newPage();
});
afterEach(async () => {
  expect(http.mistakes).toEqual([]);
  await context.close();
  await http.server.close();
});

const ask = async <T>(path: string): Promise<T> =>
  (await http.server.inject({ method: 'GET', url: `/api/v1${path}` })).json();
const fillNow = async (): Promise<Fill> => {
  const { fills } = await ask<{ fills: Fill[] }>('/fills');
  expect(fills).toHaveLength(1);
  return ask(`/fills/${fills[0]?.fillId}`);
};

const begin = async (): Promise<void> => {
  await page.goto(`${address}/kegs/one/fill`);
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await page.getByRole('heading', { name: '0 of 24 full' }).waitFor();
};
/** Taps bottle by bottle, and waits until the page has counted each. */
const tap = async (from: number, to: number): Promise<void> => {
  for (let number = from; number <= to; number += 1) {
    await page.getByRole('button', { name: `Bottle ${number} is full` }).click();
    await page.getByRole('heading', { name: `${number} of 24 full` }).waitFor();
  }
};
const notReached = () => page.getByText('Quietkeg is not reached', { exact: false });
const sent = () =>
  expect
    .poll(() => page.evaluate(() => JSON.parse(localStorage.getItem('quietkeg-fill-1') ?? '{}').ops.length), {
      timeout: 20_000,
    })
    .toBe(0);

/** Cuts the service off while its files still come, as a proxy before it does that has lost it. */
const cutService = async (): Promise<void> => {
  await page.route('**/api/**', (route) => route.abort());
  for (const client of http.server.websocketServer.clients) client.terminate();
};
const mendService = () => page.unroute('**/api/**');

test('24 bottles with the connection cut twice and the page loaded anew meanwhile are 24 bottles', {
  timeout: 120_000,
}, async () => {
  await begin();
  await tap(1, 5);
  await page.getByRole('button', { name: 'Foamed' }).click();

  // The network goes altogether.
  await context.setOffline(true);
  await tap(6, 10);
  await notReached().waitFor();
  await page.getByRole('button', { name: 'Undo bottle 10' }).click();
  await page.getByRole('heading', { name: '9 of 24 full' }).waitFor();
  await page.getByRole('button', { name: 'Gushed' }).click();
  await context.setOffline(false);
  await sent();
  expect((await fillNow()).bottleCount).toBe(9);
  await tap(10, 12);

  // The service goes, and somebody loads the page anew.
  await cutService();
  await tap(13, 16);
  await page.reload();
  await page.getByRole('heading', { name: '16 of 24 full' }).waitFor();
  await tap(17, 20);
  await mendService();
  await sent();
  await tap(21, 24);
  await sent();
  await page.getByRole('button', { name: 'Stop' }).click();
  await page.getByText('24 bottles are full', { exact: false }).first().waitFor();
  await sent();

  const { bottles, endedAt, drawnL } = await fillNow();
  expect(bottles.map(({ number }) => number)).toEqual(Array.from({ length: 24 }, (_, index) => index + 1));
  expect(new Set(bottles.map(({ bottleId }) => bottleId)).size).toBe(24);
  const noted = bottles.filter(({ note }) => note !== 'clean').map(({ number, note }) => [number, note]);
  expect(noted).toEqual([
    [5, 'foamy'],
    [9, 'gushed'],
  ]);
  expect(drawnL).toBe(12);
  expect(endedAt).not.toBeNull();
  const { events } = await ask<{ events: KeptEvent[] }>('/kegs/one/events');
  expect(events.filter(({ kind }) => kind === 'beer-drawn')).toMatchObject([{ litres: 12 }]);
});

test('answers that are lost on their way back make no second bottle', async () => {
  await begin();
  // The service takes the first try of each, but its answer does not arrive.
  const tried = new Set<string>();
  await page.route('**/bottles/*', async (route) => {
    const url = route.request().url();
    if (tried.has(url)) return route.continue();
    tried.add(url);
    await route.fetch();
    return route.abort();
  });
  await tap(1, 3);
  await sent();
  expect(tried.size).toBe(3);
  expect((await fillNow()).bottles.map(({ number }) => number)).toEqual([1, 2, 3]);
});

test('a fill that began without a connection is joined to the one that another phone began', async () => {
  await page.goto(`${address}/kegs/one/fill`);
  await page.getByRole('button', { name: 'Begin', exact: true }).waitFor();
  await context.setOffline(true);
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await tap(1, 2);
  const other = await http.server.inject({
    method: 'POST',
    url: '/api/v1/fills',
    payload: { kegId: 'one', fillId: 'other' },
  });
  expect(other.statusCode).toBe(201);
  const theirs = { method: 'PUT', url: '/api/v1/fills/other/bottles/00000000-0000-4000-8000-000000000001' } as const;
  await http.server.inject({ ...theirs, payload: { sizeL: 0.33 } });
  await context.setOffline(false);
  await sent();
  const { fillId, bottles } = await fillNow();
  expect(fillId).toBe('other');
  expect(bottles.map(({ number, sizeL }) => [number, sizeL])).toEqual([
    [1, 0.33],
    [2, 0.5],
    [3, 0.5],
  ]);
});

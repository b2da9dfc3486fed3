import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { accessibilityFindings, DESKTOP, loadAxe, PHONE, startBrowser, watchTrouble } from '../web/support/browser.ts';
import { mosquittoPub, send } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';

/** Aim: what is published with mosquitto_pub stands on the page, all of it real: broker, spool, store, socket, browser. */

let browser: Browser;
let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let program: RunningProgram;
let page: Page;
let trouble: string[];

beforeAll(async () => {
  browser = await startBrowser();
});
afterAll(() => browser.close());
beforeEach(async () => {
  folder = await temporaryFolder();
  program = await startProgram({ folder: folder.path });
  page = await browser.newPage({ viewport: DESKTOP });
  trouble = watchTrouble(page);
});
afterEach(async () => {
  await page.close();
  await program.end('SIGKILL');
  await folder.remove();
});

const coldFor11Minutes = async (kegId: string) => {
  for (let minute = -11; minute <= 0; minute += 1) {
    const time = new Date(Date.now() + minute * 60_000).toISOString();
    await mosquittoPub(program, `probes/${kegId}/beer-temperature`, JSON.stringify({ value: 1.9, unit: 'Cel', time }));
  }
};

test('a keg appears, is adopted, described and goes cold under the eyes of the brewer', async () => {
  await page.goto(program.address);
  await page.getByText('mosquitto_pub', { exact: false }).first().waitFor();
  await loadAxe(page);
  expect(await accessibilityFindings(page)).toEqual([]);

  await mosquittoPub(program, 'probes/one/beer-temperature', '3.33');
  await mosquittoPub(program, 'probes/one/headspace-pressure', '{"value":11.3,"unit":"[psi]"}');
  await page.getByRole('button', { name: 'Add this keg' }).click();
  await page.getByText('3.3 °C', { exact: false }).first().waitFor();
  // 2.51 by the published fit at sea level; the row says so as where the beer is heading.
  await page.getByText('2.51', { exact: false }).first().waitFor();
  await send(program, 'POST', 'api/v1/kegs/one/batch', { name: 'Gate Post', style: 'bitter' });
  await page.getByText('Gate Post').first().waitFor();

  const alerts = page.getByRole('link', { name: /^Alerts/ });
  expect(await alerts.textContent()).not.toMatch(/1/);
  await send(program, 'PUT', 'api/v1/kegs/two', { name: 'Two' });
  await coldFor11Minutes('two');
  await page.getByText('1.9 °C', { exact: false }).first().waitFor();
  await expect.poll(() => alerts.textContent(), { timeout: 10_000 }).toMatch(/1/);
  expect(await accessibilityFindings(page)).toEqual([]);
  await alerts.click();
  await page.getByText('is cold enough to fill', { exact: false }).first().waitFor();
  await loadAxe(page);
  expect(await accessibilityFindings(page)).toEqual([]);
  expect(trouble).toEqual([]);
});

test('a page left open says that the service is gone, and is live again by itself when it is back', async () => {
  await send(program, 'PUT', 'api/v1/kegs/one', { name: 'One' });
  await mosquittoPub(program, 'probes/one/beer-temperature', '4.4');
  await page.setViewportSize(PHONE);
  await page.goto(program.address);
  await page.getByText('4.4 °C', { exact: false }).first().waitFor();
  const port = new URL(program.address).port;
  await program.end('SIGKILL');
  const band = page.getByText(/^No data since \d\d:\d\d$/);
  await band.waitFor();
  await loadAxe(page);
  expect(await accessibilityFindings(page)).toEqual([]);
  program = await startProgram({ folder: folder.path, environment: { QUIETKEG_HTTP_PORT: port } });
  await band.waitFor({ state: 'detached' });
  await mosquittoPub(program, 'probes/one/beer-temperature', '4.1');
  await page.getByText('4.1 °C', { exact: false }).first().waitFor();
});

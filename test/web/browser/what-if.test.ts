import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { PARTLY_KEG } from '../../../web/components/sample-estimates.ts';
import { COMES_IN, PASSES } from '../../../web/components/what-if/sample-answers.ts';
import { dashboardForTests } from '../support/dashboard.ts';

/** The what-if on a keg's page. */
const on = dashboardForTests((service) => {
  service.kegs = [{ ...PARTLY_KEG, advisedKpaGauge: 63 }];
});
const asked = () => on.service.changes.filter(({ what }) => what === 'POST /what-if').map(({ body }) => body);

async function openWhatIf(): Promise<Page> {
  await on.open('/kegs/right');
  await on.page.getByRole('button', { name: 'Try another temperature or pressure' }).click();
  await on.page.getByText(/It hardly ever passes the top/).waitFor();
  return on.page;
}

test('asks for the keg as it is, and for nothing before somebody opens it', async () => {
  await on.open('/kegs/right');
  await on.page.getByRole('heading', { name: 'What if?' }).waitFor();
  await on.page.waitForLoadState('networkidle');
  expect(asked()).toEqual([]);
  const page = await openWhatIf();
  expect(asked()).toEqual([{ kegId: 'right', beerTemperatureC: 1.6, headspaceKpaGauge: 78, hours: 168 }]);
  expect(await page.locator('.forecast svg').getAttribute('aria-label')).toMatch(/Window 2\.30 to 2\.60/);
  await page.getByText('19 times in 20').waitFor();
  expect(on.trouble).toEqual([]);
});

test('several presses of + are one question', async () => {
  const page = await openWhatIf();
  on.service.answers.set('POST /what-if', { status: 200, body: PASSES });
  const more = page.getByRole('button', { name: 'More: Pressure in the keg, kPa' });
  for (let press = 0; press < 4; press += 1) await more.click();
  await page.getByText(/^After 7.days it holds 2\.8/).waitFor();
  expect(asked().slice(1)).toMatchObject([{ headspaceKpaGauge: 100 }]);
});

test('an answer that was overtaken is given up', async () => {
  const page = await openWhatIf();
  let held = 0;
  const released: (() => Promise<void>)[] = [];
  await page.route('**/api/v1/what-if', (route) => {
    held += 1;
    if (held > 1) return route.fulfill({ json: PASSES });
    released.push(() => route.fulfill({ json: COMES_IN }));
  });
  const given = page.waitForEvent('requestfailed', (request) => request.url().endsWith('/what-if'));
  await page.getByRole('button', { name: 'Less: Beer, °C' }).click();
  await expect.poll(() => held).toBe(1);
  await page.getByRole('button', { name: 'Try the advised 63\u00a0kPa' }).click();
  await page.getByText(/^After 7.days it holds 2\.8/).waitFor();
  expect((await given).failure()?.errorText).toContain('ABORTED');
  await Promise.allSettled(released.map((release) => release()));
  expect(await page.getByText(/It hardly ever passes the top/).count()).toBe(0);
});

test('what is wrong is said at its field, and the last picture stays', async () => {
  const page = await openWhatIf();
  on.service.answers.set('POST /what-if', {
    status: 400,
    body: {
      title: 'no',
      status: 400,
      detail: 'not so',
      errors: [{ pointer: '/hours', detail: 'must be at most 1440' }],
    },
  });
  await page.getByLabel('For how long, h', { exact: true }).fill('9000');
  await page.locator('.stepped .wrong', { hasText: /^Must be at most 1440 h$/ }).waitFor();
  expect(await page.locator('.forecast svg').count()).toBe(1);
  await page.getByLabel('Beer, °C', { exact: true }).fill('cold');
  await page.getByText('Give a number, such as 4.5').waitFor();
});

test('warns of ice and of more pressure than the keg may have', async () => {
  const page = await openWhatIf();
  await page.getByLabel('Beer, °C', { exact: true }).fill('-2');
  await page.getByText(/^Too cold to do: this beer freezes at about −1\.\d\u00a0°C/).waitFor();
  await page.getByLabel('Beer, °C', { exact: true }).fill('2');
  await page.getByLabel('Pressure in the keg, kPa', { exact: true }).fill('950');
  await page.getByText('Never do this: 900\u00a0kPa is the most that is stamped on the keg.').waitFor();
});

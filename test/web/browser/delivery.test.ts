import { expect, test } from 'vitest';
import { WELL } from '../../../web/components/delivery/sample-reports.ts';
import { ACT_KEG } from '../../../web/components/sample-states.ts';
import { PHONE } from '../support/browser.ts';
import { dashboardForTests } from '../support/dashboard.ts';

/** What the page of probes says of the way that readings come. */
const on = dashboardForTests((service) => {
  service.kegs = [ACT_KEG];
});

test('says what came in, what the broker should be set to, and who sends without waiting for an answer', async () => {
  await on.open('/probes');
  const part = on.page.locator('.delivery');
  await part.getByText('Since Quietkeg was started 15,204 values came in').waitFor();
  const findings = await part.locator('.finding').allTextContents();
  expect(findings[0]).toContain('The broker threw away 40 messages that waited.');
  expect(findings[0]).toContain('max_queued_messages 0\nmax_queued_bytes 0');
  expect(findings.find((text) => text.includes('QoS 1'))).toMatch(/^Pressure in the keg, Right keg, Slow Bicycle/);
  await part.getByText('Quietkeg was not running').first().waitFor();
  await part.getByRole('button', { name: 'Show all 6' }).click();
  expect(await part.locator('.lost li').count()).toBe(6);
  expect(on.trouble).toEqual([]);
});

test('on a phone the probes themselves come first', async () => {
  await on.page.setViewportSize(PHONE);
  await on.open('/probes');
  await on.page.getByRole('heading', { name: 'How readings reach us' }).waitFor();
  const top = async (name: string): Promise<number> =>
    (await on.page.getByRole('heading', { name }).boundingBox())?.y ?? Number.NaN;
  expect(await top('Garage fridge')).toBeLessThan(await top('How readings reach us'));
});

test('without anything to do it says so in two sentences and calls nobody', async () => {
  on.service.answers.set('GET /delivery', { status: 200, body: WELL });
  await on.open('/probes');
  const part = on.page.locator('.delivery');
  await part.getByText('all are stored').waitFor();
  expect(await part.locator('.finding, .needs').count()).toBe(0);
  await part.getByText('Nowhere, as far as is known.').waitFor();
});

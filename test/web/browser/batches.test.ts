import { expect, test } from 'vitest';
import { ACT_KEG, WAIT_KEG } from '../../../web/components/sample-states.ts';
import { dashboardForTests } from '../support/dashboard.ts';

const WAIT_IN_MIDDLE = { ...WAIT_KEG, batchId: 'b9' };

/** The pages of batches in a real browser. */
const on = dashboardForTests((service) => {
  service.kegs = [WAIT_IN_MIDDLE, ACT_KEG];
});

test('lists what is and was in the kegs, and what it held in the end', async () => {
  await on.open('/');
  await on.page.getByRole('link', { name: 'Batches' }).click();
  await on.page.getByRole('heading', { name: 'In the kegs now' }).waitFor();
  await expect.poll(() => on.page.locator('.held').last().textContent()).toBe('never told');
  const rows = await on.page.locator('.batch-row').allTextContents();
  expect(rows).toHaveLength(3);
  // What is in an open batch is told live.
  expect(rows[0]).toMatch(/Slow Bicycle porterRight kegsince .* 6\u00a0days2\.38\u00a0volumes now2\.31 to 2\.45/);
  expect(rows[1]).toMatch(/Patient Ferry brown aleMiddle keg.*2\.34\u00a0volumes/);
  expect(on.trouble).toEqual([]);
});

test('says in plain words that nothing was in a keg yet', async () => {
  on.service.answers.set('GET /batches', { status: 200, body: { batches: [] } });
  await on.open('/batches');
  await on.page.getByText('No beer was entered yet.').waitFor();
});

test('shows of a past batch its curve, its events and its files', async () => {
  await on.open('/batches/b0');
  await on.page.getByText(/^It held 2\.34/).waitFor();
  await on.page.locator('.charts canvas').first().waitFor();
  expect(await on.page.locator('.log li b').allTextContents()).toEqual([
    'Keg empty',
    'Beer drawn',
    'Window set',
    'Gas opened',
    'Keg filled',
  ]);
  expect(await on.page.getByRole('link', { name: /CSV/ }).getAttribute('href')).toBe(
    '/api/v1/batches/b0/export?format=csv',
  );
  // Beyond its end there is nothing to see.
  expect(await on.page.getByRole('button', { name: 'Later' }).isDisabled()).toBe(true);
  // A part of it is read from its keg, and ends with the batch.
  const asked = on.page.waitForRequest((request) => request.url().includes('/kegs/middle/curve?'));
  await on.page.getByRole('button', { name: 'Last day' }).click();
  const query = new URL((await asked).url()).searchParams;
  expect(Date.parse(query.get('to') ?? '')).toBeLessThan(Date.now() - 8.9 * 86_400_000);
  expect(on.trouble).toEqual([]);
});

test('shows of an open batch what it holds now, and the way to its keg', async () => {
  await on.open('/kegs/right');
  await on.page.getByRole('link', { name: 'Slow Bicycle' }).click();
  await on.page.getByText(/^It holds 2\.38\u00a0volumes now/).waitFor();
  expect(await on.page.getByRole('link', { name: 'Its keg' }).getAttribute('href')).toBe('/kegs/right');
});

test('changes the description, and says at the field what was refused', async () => {
  await on.open('/batches/b0');
  const errors = [{ pointer: '/abvPercent', detail: 'must be at most 20' }];
  on.service.answers.set('PATCH /batches/b0', {
    status: 400,
    body: { title: 'no', status: 400, detail: 'no', errors },
  });
  await on.page.getByLabel('Alcohol, % by volume').fill('44');
  await on.page.getByRole('button', { name: 'Keep these' }).click();
  await on.page.getByText('Must be at most 20 %').waitFor();
  const body = { batchId: 'b0', kegId: 'right', name: 'Late Ferry', beganAt: '2026-01-01T00:00:00Z', endedAt: null };
  on.service.answers.set('PATCH /batches/b0', { status: 200, body: { ...body, style: null, limits: {} } });
  await on.page.getByLabel('Alcohol, % by volume').fill('4,6');
  await on.page.getByLabel('Name of the beer').fill('Late Ferry');
  await on.page.getByRole('button', { name: 'Keep these' }).click();
  await on.page.getByRole('heading', { name: 'Late Ferry' }).waitFor();
  expect(on.service.changes.at(-1)).toEqual({
    what: 'PATCH /batches/b0',
    body: { name: 'Late Ferry', style: 'brown ale', abvPercent: 4.6, originalExtractPlato: 11.5 },
  });
});

test('says that there is no such batch', async () => {
  const detail = 'There is no batch b9.';
  on.service.answers.set('GET /batches/b9', { status: 404, body: { title: 'no', status: 404, detail } });
  await on.open('/batches/b9');
  await on.page.getByText(detail).waitFor();
});

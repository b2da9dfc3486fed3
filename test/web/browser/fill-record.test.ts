import { expect, test } from 'vitest';
import { sampleFill, sampleFilled } from '../../../web/components/fill-bottles/sample-fill.ts';
import { READY_KEG, WAIT_KEG } from '../../../web/components/sample-states.ts';
import { accessibilityFindings, DESKTOP, loadAxe, PHONE, TABLET } from '../support/browser.ts';
import { dashboardForTests } from '../support/dashboard.ts';

/** The pages around a fill, before a service that says what the test wants. */
const on = dashboardForTests((service) => {
  service.kegs = [READY_KEG, WAIT_KEG];
});
const give = (path: string, body: unknown): void => void on.service.answers.set(`GET ${path}`, { status: 200, body });
const fits = async (): Promise<void> => {
  for (const size of [PHONE, TABLET, DESKTOP]) {
    await on.page.setViewportSize(size);
    const sideways = await on.page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    expect({ width: size.width, sideways: Math.max(0, sideways) }).toEqual({ width: size.width, sideways: 0 });
  }
  await loadAxe(on.page);
  expect(await accessibilityFindings(on.page)).toEqual([]);
};

test('a bottle is found by its number, and what became of it is kept', async () => {
  await on.open('/fills/f1#bottle-5');
  const row = on.page.locator('#bottle-5');
  await row.waitFor();
  expect(await row.textContent()).toContain('foamed, first of a warm crate');
  await fits();
  await row.getByRole('button', { name: 'Change bottle 5' }).click();
  await row.getByLabel('Where it is').selectOption('gift');
  await row.getByLabel('Which, or for whom').fill('the neighbour');
  await row.getByLabel('How it tasted').fill('a little flat');
  await row.getByLabel('In a word').selectOption('so-so');
  await row.getByRole('button', { name: 'Keep' }).click();
  await expect.poll(() => on.service.changes.length).toBe(1);
  expect(on.service.changes[0]).toMatchObject({
    what: expect.stringMatching(/^PUT \/fills\/f1\/bottles\/[0-9a-f-]{36}$/),
    body: {
      note: 'foamy',
      remark: 'first of a warm crate',
      destination: 'gift',
      destinationText: 'the neighbour',
      tasting: { text: 'a little flat', opinion: 'so-so' },
    },
  });
  expect(on.trouble).toEqual([]);
});

test('beer that was lost is taken off the keg', async () => {
  await on.open('/fills/f1');
  const lost = on.page.getByLabel('Beer lost: line, foam, tote (L)');
  expect(await lost.inputValue()).toBe('0.20');
  await on.page.getByLabel('Remark').last().fill('The line was warm');
  const keep = on.page.locator('.fill-details').getByRole('button', { name: 'Keep' });
  on.service.answers.set('PATCH /fills/f1', { status: 200, body: sampleFill({ remark: 'The line was warm' }) });
  await keep.click();
  await expect.poll(() => on.service.changes.length).toBe(1);
  // What was not touched is not sent: it was only shown rounded.
  expect(on.service.changes[0]?.body).toEqual({ remark: 'The line was warm', tasteAfterDays: 21 });
  await lost.fill('0,75');
  await keep.click();
  await expect.poll(() => on.service.changes[1]?.body).toMatchObject({ lostL: 0.75 });
});

test('says at the bottle why a change was refused', async () => {
  const detail = 'This bottle was taken back.';
  const [bottle] = sampleFill().bottles;
  const what = `PUT /fills/f1/bottles/${bottle?.bottleId}`;
  on.service.answers.set(what, { status: 409, body: { title: 'no', status: 409, detail } });
  await on.open('/fills/f1');
  const row = on.page.locator('#bottle-1');
  await row.getByRole('button', { name: 'Change bottle 1' }).click();
  await row.getByRole('button', { name: 'Keep' }).click();
  await row.getByText(detail).waitFor();
});

test('prints labels and nothing else, one a bottle that is there', async () => {
  await on.open('/fills/f1');
  await on.page.getByRole('heading', { name: 'Labels' }).waitFor();
  await on.page.emulateMedia({ media: 'print' });
  const shown = await on.page
    .locator('main h1, main h2, .top, .bottle, .label-sheet li')
    .evaluateAll((all) => all.filter((one) => one.getClientRects().length > 0).map((one) => one.tagName));
  expect(shown).toEqual(Array.from({ length: 7 }, () => 'LI'));
  const label = await on.page.locator('.label-sheet li').first().textContent();
  expect(label).toMatch(/Slow Bicycle1.*0\.5\u00a0L.*2\.41\u00a0volumes.*Filled .*drink by .*Keep cold/);
});

test('the page of fills tells what to taste and what was learnt', async () => {
  give('/fills', { fills: [sampleFill()] });
  const filledAt = sampleFill().startedAt;
  const tasting = { fillId: 'f1', bottleId: 'b3', number: 3, kegId: 'right', batchName: 'Slow Bicycle', filledAt };
  give('/tastings', { tastings: [{ ...tasting, dueAt: filledAt, due: true }] });
  await on.open('/fills');
  await on.page.getByText('7 bottles, 1 foamed').waitFor();
  await on.page.getByText('taste it now', { exact: false }).waitFor();
  await on.page.getByText('Fill colder', { exact: false }).waitFor();
  await fits();
  await on.page.getByRole('link', { name: 'Slow Bicycle, bottle 3' }).click();
  await on.page.locator('#bottle-3').waitFor();
  expect(on.trouble).toEqual([]);
});

test('the batch shows what was filled of it, and what was forecast', async () => {
  give('/fills', { fills: [sampleFill({ endedAt: null })] });
  const forecast = { at: '2026-06-01T12:00:00.000Z', hours: 72, lowHours: 50, highHours: 100 };
  const came = { expectedAt: '2026-06-04T12:00:00.000Z', lateHours: 5, inRange: true };
  give('/batches/b1/ready-times', {
    batchId: 'b1',
    inWindowAt: '2026-06-04T17:00:00.000Z',
    readyAt: null,
    forecasts: [{ ...forecast, ...came }],
  });
  await on.open('/batches/b1');
  await on.page.getByText('The one forecast held').waitFor();
  await on.page.getByText('5\u00a0h later than said, within the range said').waitFor();
  expect(await on.page.getByRole('link', { name: 'Slow Bicycle 7 bottles' }).getAttribute('href')).toBe(
    '/kegs/right/fill',
  );
  expect(on.trouble).toEqual([]);
});

test('the fill page fits and is read aloud before, while and after', async () => {
  await on.open(`/kegs/${READY_KEG.kegId}/fill`);
  await on.page.getByRole('button', { name: 'Begin', exact: true }).waitFor();
  await fits();
  await on.page.getByRole('textbox', { name: 'Bottles' }).fill('2');
  const going = sampleFill({
    kegId: READY_KEG.kegId,
    fillId: 'f2',
    endedAt: null,
    bottles: sampleFilled(1),
    planned: [{ count: 2, sizeL: 0.5 }],
  });
  on.service.answers.set('POST /fills', { status: 201, body: going });
  give('/fills/f2', going);
  await on.page.getByRole('button', { name: 'Begin', exact: true }).click();
  await on.page.getByRole('heading', { name: '1 of 2 full' }).waitFor();
  await fits();
  await on.page.getByRole('button', { name: 'Time a purge' }).click();
  await on.page.getByRole('button', { name: 'Gas in' }).waitFor();
  // The beer gets warm while it is filled: that is said at once.
  await on.page.getByRole('button', { name: 'Bottle 2 is full' }).click();
  const warm = { ...READY_KEG, beerTemperatureC: 3.5 };
  on.service.send({ type: 'keg', revision: 2, state: warm });
  await on.page.getByRole('alert').getByText('2.6\u00a0°C warmer than at the start', { exact: false }).waitFor();
  const sizes = await on.page
    .locator('.fill-now .btn, .fill-now .big')
    .evaluateAll((buttons) => buttons.map((button) => Math.round(button.getBoundingClientRect().height)));
  expect(Math.min(...sizes)).toBeGreaterThanOrEqual(64);
  on.service.answers.set('PATCH /fills/f2', { status: 200, body: { ...going, endedAt: new Date().toISOString() } });
  await on.page.getByRole('button', { name: 'Stop' }).click();
  await on.page.getByRole('link', { name: 'To the bottles' }).waitFor();
  await fits();
});

import { expect, test } from 'vitest';
import { OPEN_BATCH } from '../../../web/components/batch-list/sample-batches.ts';
import { NOTICED_KEG } from '../../../web/components/sample-estimates.ts';
import { ACT_KEG, UNFILLED_KEG } from '../../../web/components/sample-states.ts';
import { dashboardForTests } from '../support/dashboard.ts';

/** The page of one keg in a real browser. */
const on = dashboardForTests((service) => {
  service.kegs = [ACT_KEG];
});

test('names of lines begin where they are placed, whatever the scale’s own labels left behind', async () => {
  await on.page.addInitScript(() => {
    const draw = CanvasRenderingContext2D.prototype.fillText;
    const drawn: string[] = [];
    Object.assign(window, { drawn });
    CanvasRenderingContext2D.prototype.fillText = function (text, x, y) {
      drawn.push(`${text}: ${this.textAlign}, ${this.textBaseline}`);
      draw.call(this, text, x, y);
    };
  });
  await on.open('/kegs/right');
  await on.page.locator('.charts canvas').first().waitFor();
  const names = await on.page.evaluate(() => ('drawn' in window && Array.isArray(window.drawn) ? window.drawn : []));
  const ofLines = new Set(names.filter((name) => /^in the |^beer:/.test(name)));
  expect([...ofLines].sort()).toEqual([
    'beer: left, alphabetic',
    'in the beer: left, alphabetic',
    'in the end: left, alphabetic',
  ]);
});

test('keeps saying what was refused of a new beer once its form is gone', async () => {
  on.service.kegs = [UNFILLED_KEG];
  const detail = 'times: 99 are more than anybody does';
  on.service.answers.set('POST /kegs/one/events', { status: 400, body: { title: 'no', status: 400, detail } });
  await on.open('/kegs/one');
  await on.page.getByLabel('Name of the beer').fill('Wet Tuesday');
  await on.page.getByLabel('Headspace purged, times').fill('9');
  await on.page.getByRole('button', { name: 'This is in the keg' }).click();
  await expect.poll(() => on.service.changes.length).toBe(2);
  on.service.send({ type: 'keg', revision: 2, state: { ...UNFILLED_KEG, batchId: 'b9', batchName: 'Wet Tuesday' } });
  await on.page.getByRole('heading', { name: 'What is in this keg?' }).waitFor({ state: 'detached' });
  const told = on.page.getByRole('alert');
  expect(await told.textContent()).toContain('Still to enter: window set, headspace purged and gas opened.');
  expect(await told.textContent()).toContain('99 are more than anybody does');
  await told.getByRole('button', { name: 'I have read it' }).click();
  await told.waitFor({ state: 'detached' });
});

test('enters with one tap what was noticed, and takes it back', async () => {
  on.service.kegs = [NOTICED_KEG];
  on.service.answers.set('POST /kegs/right/events', { status: 201, body: { eventId: 'e99' } });
  await on.open('/kegs/right');
  await on.page.getByRole('heading', { name: 'Noticed' }).waitFor();
  // The weightiest comes first.
  expect(await on.page.locator('.notice').first().textContent()).toContain(
    'very likely, 19 times in 20, the keg leaks',
  );
  await on.page.getByRole('button', { name: /^Enter it: gas closed, \d\d:\d\d$/ }).click();
  await on.page.getByText(/^Entered: gas closed, \d\d:\d\d\./).waitFor();
  // The state that follows knows of it: the way back stays.
  on.service.send({ type: 'keg', revision: 2, state: { ...NOTICED_KEG, notices: [] } });
  await expect.poll(() => on.page.locator('.notice').count()).toBe(0);
  await on.page.getByRole('button', { name: 'Take it back' }).click();
  await on.page.getByRole('heading', { name: 'Noticed' }).waitFor({ state: 'detached' });
  expect(on.service.changes).toEqual([
    { what: 'POST /kegs/right/events', body: NOTICED_KEG.notices[0]?.entry },
    { what: 'DELETE /kegs/right/events/e99', body: null },
  ]);
});

test('an entry that is refused is said beside what was noticed', async () => {
  on.service.kegs = [NOTICED_KEG];
  const detail = 'The gas was closed already.';
  on.service.answers.set('POST /kegs/right/events', { status: 400, body: { title: 'no', status: 400, detail } });
  await on.open('/kegs/right');
  await on.page.getByRole('button', { name: /^Enter it: gas closed/ }).click();
  await on.page.locator('.notices .trouble', { hasText: detail }).waitFor();
  expect(await on.page.locator('.entered').count()).toBe(0);
});

test('of what was noticed a row on the first page says the weightiest', async () => {
  on.service.kegs = [NOTICED_KEG];
  await on.open('/');
  await on.page.getByText('Very likely it leaks.').waitFor();
  expect(await on.page.locator('.noticed').count()).toBe(1);
  // Its beer only waits, but nobody may be told that nobody is needed.
  expect(await on.page.locator('h1').textContent()).toBe('One keg needs you');
});

test('under the curve stands what was said: in words by a touch, by the keys, and in the table', async () => {
  await on.open('/kegs/right');
  const strip = on.page.getByRole('slider', { name: /^What was said/ });
  await strip.waitFor();
  const said = on.page.locator('.verdict-strip .said');
  expect(await said.textContent()).toMatch(/Needs you: Turn the regulator to 63\u00a0kPa\.$/);
  await strip.click({ position: { x: 300, y: 30 } });
  expect(await said.textContent()).toMatch(/Waiting: Time alone will do it/);
  await strip.press('End');
  await strip.press('ArrowLeft');
  expect(await said.textContent()).toMatch(/Ready: Fill whenever you like\.$/);
  expect(await strip.getAttribute('aria-valuetext')).toBe(await said.textContent());
  await on.page.getByText(/^Quietkeg was not running .*\d\d:\d\d to .*\d\d:\d\d\.$/).waitFor();
  await on.page.getByRole('button', { name: 'Show as a table' }).click();
  const [verdicts, gaps] = await on.page.locator('.said-table').allTextContents();
  expect(verdicts).toMatch(/VerdictIn words.*Needs youTurn the regulator.*ReadyFill whenever.*Can’t tell/);
  expect(gaps).toMatch(/^Readings missingWhy.*Quietkeg was not running$/);
  expect(on.trouble).toEqual([]);
});

test('limits of the checks are folded, set in the shown units, and refused at their field', async () => {
  await on.open('/kegs/right');
  await on.page.getByText('Limits of these checks').click();
  const rest = on.page.getByLabel('Rest after it was moved, shaken or vented, h');
  await rest.waitFor();
  // The sample batch has one limit of its own.
  expect(await rest.inputValue()).toBe('24');
  await on.page.getByText('Usual: 12\u00a0h').first().waitFor();
  const highest = on.page.getByLabel('Serving pressure to, kPa');
  expect(await highest.inputValue()).toBe('');
  const errors = [{ pointer: '/limits/servingKpaHigh', detail: 'must be above servingKpaLow' }];
  on.service.answers.set('PATCH /batches/b1', {
    status: 400,
    body: { title: 'no', status: 400, detail: 'no', errors },
  });
  await highest.fill('40');
  await on.page.getByRole('button', { name: 'Keep these limits' }).click();
  await on.page.getByText('Must be above the lowest; an empty field means the usual one').waitFor();
  on.service.answers.set('PATCH /batches/b1', { status: 200, body: { ...OPEN_BATCH, limits: { servingKpaHigh: 95 } } });
  await highest.fill('95');
  await rest.fill('');
  await on.page.getByRole('button', { name: 'Keep these limits' }).click();
  await on.page.getByText('Kept.').waitFor();
  await on.page.getByRole('button', { name: 'All as usual' }).click();
  await expect.poll(() => on.service.changes.length).toBe(3);
  expect(on.service.changes.slice(1).map(({ body }) => body)).toEqual([
    { limits: { servingKpaHigh: 95 } },
    { limits: {} },
  ]);
});

test('a check says on a tap why it stands so', async () => {
  await on.open('/kegs/right');
  const row = on.page.locator('.check', { hasText: 'Cold enough' });
  const why = row.getByText('It is 1.1\u00a0°C above the most that counts.');
  await row.waitFor();
  expect(await why.isVisible()).toBe(false);
  await row.getByText('Why').click();
  expect(await why.isVisible()).toBe(true);
  // What is to do is seen without a tap.
  expect(await on.page.getByText('Turn the regulator to 63 kPa.').last().isVisible()).toBe(true);
});

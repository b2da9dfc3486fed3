import { expect, test } from 'vitest';
import { REPORTS } from '../../../web/components/gas-check/sample-reports.ts';
import { IN_CHECK_KEG, PARTLY_KEG } from '../../../web/components/sample-estimates.ts';
import { UNFILLED_KEG } from '../../../web/components/sample-states.ts';
import { PHONE } from '../support/browser.ts';
import { dashboardForTests } from '../support/dashboard.ts';

/** The gas check, from the keg's page to what it found. */
const on = dashboardForTests((service) => {
  service.kegs = [PARTLY_KEG];
});
const answerWith = (report: object): void =>
  void on.service.answers.set('GET /kegs/right/gas-check', { status: 200, body: report });

test('leads from the keg’s page through start and end to the result', async () => {
  await on.page.setViewportSize(PHONE);
  answerWith(REPORTS.first);
  await on.open('/kegs/right');
  await on.page.locator('.beer').getByRole('link', { name: 'Make a gas check' }).click();
  await on.page.getByText('Four hours are worth it').waitFor();
  expect(await on.page.locator('.expected tbody tr').count()).toBe(5);
  await on.page.getByText('stamped on it: 900\u00a0kPa').waitFor();

  answerWith(REPORTS.running);
  await on.page.getByRole('button', { name: 'Gas is closed: start' }).click();
  await on.page.getByRole('heading', { name: 'Leave it alone' }).waitFor();
  expect(on.service.changes).toMatchObject([{ what: 'POST /kegs/right/events', body: { kind: 'gas-check-started' } }]);
  expect(on.service.changes[0]?.body).not.toHaveProperty('shaken');
  await on.page.getByText('2.25 to 2.42', { exact: true }).waitFor();
  const chart = on.page.locator('.course svg');
  expect(await chart.getAttribute('aria-label')).toContain('78\u00a0kPa when the gas was closed, 71\u00a0kPa now');

  answerWith(REPORTS.before);
  await on.page.getByRole('button', { name: 'End: gas is open again' }).click();
  await on.page.getByText('It held 2.10 to 2.20\u00a0volumes').waitFor();
  expect(on.service.changes.slice(1)).toMatchObject([{ body: { kind: 'gas-check-ended' } }]);
  // Newest first.
  expect(await on.page.locator('.results li').first().textContent()).toContain('It held 2.10 to 2.20\u00a0volumes');
  expect(on.trouble).toEqual([]);
});

test('a shaken check says so, and warns of the hours before a fill', async () => {
  await on.open('/kegs/right/gas-check');
  await on.page.getByRole('button', { name: 'Shake it' }).click();
  await on.page.getByText('Do not shake in the twelve hours before a fill').waitFor();
  await on.page.getByRole('button', { name: 'Gas is closed: start' }).click();
  await expect.poll(() => on.service.changes).toMatchObject([{ body: { kind: 'gas-check-started', shaken: true } }]);
});

test('a result of just now stands first, and a check that has only begun is not enough', async () => {
  const endedAt = new Date(Date.now() - 60_000).toISOString();
  answerWith({ ...REPORTS.before, results: [{ ...REPORTS.before.results[0], endedAt }] });
  await on.open('/kegs/right/gas-check');
  await on.page.getByRole('heading', { name: 'What checks found' }).waitFor();
  expect(await on.page.locator('.gas-check h2').allTextContents()).toMatchObject([
    'What checks found',
    'Make one',
    {},
    {},
  ]);
  answerWith({ ...REPORTS.started, running: { ...REPORTS.started.running, enough: true } });
  await on.open('/kegs/right/gas-check');
  await on.page.getByRole('heading', { name: 'Leave it alone' }).waitFor();
});

test('gas that stays closed is entered after the end of the check', async () => {
  answerWith(REPORTS.running);
  on.service.kegs = [IN_CHECK_KEG];
  await on.open('/kegs/right');
  await on.page.getByText(/^Gas check since \d\d:\d\d/).waitFor();
  await on.page.getByRole('link', { name: 'See what it says' }).click();
  await on.page.getByRole('button', { name: 'End: gas stays closed' }).click();
  await expect
    .poll(() => on.service.changes)
    .toMatchObject([{ body: { kind: 'gas-check-ended' } }, { body: { kind: 'gas-closed' } }]);
  const [ended, closed] = on.service.changes.map(({ body }) => String(Object(body).at));
  expect(Date.parse(closed ?? '') - Date.parse(ended ?? '')).toBe(1);
});

test('follows the keg: a check that somebody else began shows at once', async () => {
  answerWith(REPORTS.first);
  await on.open('/kegs/right/gas-check');
  await on.page.getByRole('button', { name: 'Gas is closed: start' }).waitFor();
  answerWith(REPORTS.running);
  on.service.send({ type: 'keg', revision: 2, state: IN_CHECK_KEG });
  await on.page.getByRole('heading', { name: 'Leave it alone' }).waitFor({ timeout: 4_000 });
});

test('says what went wrong, at the button and instead of the page', async () => {
  const detail = 'A gas check is going on already.';
  on.service.answers.set('POST /kegs/right/events', { status: 400, body: { title: 'no', status: 400, detail } });
  await on.open('/kegs/right/gas-check');
  await on.page.getByRole('button', { name: 'Gas is closed: start' }).click();
  await on.page.getByText(detail).waitFor();
  on.service.answers.set('GET /kegs/right/gas-check', {
    status: 503,
    body: { title: 'no', status: 503, detail: 'Wait.' },
  });
  await on.open('/kegs/right/gas-check');
  await on.page.getByText('Wait.').waitFor();
  await on.open('/kegs/nobody/gas-check');
  await on.page.getByRole('heading', { name: 'There is no keg “nobody”' }).waitFor();
});

test('a keg without beer is asked for its tightness alone', async () => {
  on.service.kegs = [UNFILLED_KEG];
  await on.open('/kegs/one');
  await on.page.getByRole('link', { name: 'See if the keg is tight' }).click();
  await on.page.getByRole('heading', { name: 'Is it tight?' }).waitFor();
  expect(await on.page.getByRole('button', { name: 'Shake it' }).count()).toBe(0);
  on.service.answers.set('GET /kegs/one/gas-check', { status: 200, body: REPORTS.leaking });
  await on.page.getByRole('button', { name: 'Gas is closed: start' }).click();
  await on.page.getByText('It leaks', { exact: true }).waitFor();
  await on.page.getByText('The pressure falls by 1.9 to 2.9\u00a0kPa an hour.').waitFor();
});

test('the carbonation check leads to it, unless the check passes', async () => {
  await on.open('/kegs/right');
  const row = on.page.locator('.check', { hasText: 'Carbonation' });
  expect(await row.getByRole('link', { name: 'Make a gas check' }).getAttribute('href')).toBe('/kegs/right/gas-check');
  expect(await on.page.locator('.checks').getByRole('link').count()).toBe(1);
});

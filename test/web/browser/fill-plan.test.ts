import { expect, test } from 'vitest';
import { GOOD_PLAN, KEPT_PLANS, REFUSED_PLAN } from '../../../web/components/fill-plan/sample-plan.ts';
import { PARTLY_KEG } from '../../../web/components/sample-estimates.ts';
import { UNFILLED_KEG } from '../../../web/components/sample-states.ts';
import { accessibilityFindings, DESKTOP, loadAxe, PHONE, TABLET } from '../support/browser.ts';
import { dashboardForTests } from '../support/dashboard.ts';

/** The fill plan, from the keg's page to a plan that is kept and cancelled. */
const on = dashboardForTests((service) => {
  service.kegs = [PARTLY_KEG];
  service.answers.set('GET /plans', { status: 200, body: { plans: [], calendarPath: '/api/v1/plans.ics?key=abc' } });
  service.answers.set('GET /kegs/right/plan', { status: 200, body: { ...GOOD_PLAN, kegId: 'right' } });
});
const answerKept = (plans: readonly object[]): void =>
  void on.service.answers.set('GET /plans', {
    status: 200,
    body: { plans, calendarPath: '/api/v1/plans.ics?key=abc' },
  });

test('leads from the keg’s page to a timetable, and keeps it', async () => {
  await on.page.setViewportSize(PHONE);
  await on.open('/kegs/right');
  await on.page.getByRole('link', { name: 'Plan a fill' }).click();
  await on.page.getByRole('textbox', { name: 'Bottles', exact: true }).fill('24');
  await on.page.getByRole('button', { name: 'Work it out' }).click();
  await on.page.getByText('Very likely: 19 times in 20.').waitFor();
  await on.page.getByRole('heading', { name: /^Worked back from/ }).waitFor();
  expect(await on.page.locator('.stop').count()).toBe(GOOD_PLAN.steps.length);
  expect(await on.page.locator('.stop.alone').count()).toBe(GOOD_PLAN.steps.filter(({ by }) => by === 'keg').length);

  answerKept(KEPT_PLANS.map((one) => ({ ...one, kegId: 'right' })));
  await on.page.getByRole('button', { name: 'Keep this plan' }).click();
  await on.page.getByText('It has become less sure.').waitFor();
  expect(on.service.changes).toMatchObject([
    { what: 'POST /plans', body: { kegId: 'right', fillAt: GOOD_PLAN.fillAt, bottles: '12x0.5,12x0.33' } },
  ]);
  await on.page.getByText('Show kept plans in a calendar').click();
  await on.page.getByText(`${on.service.address}/api/v1/plans.ics?key=abc`).waitFor();

  await on.page.getByRole('button', { name: 'Cancel this plan' }).click();
  await expect.poll(() => on.service.changes.at(-1)?.what).toBe('DELETE /plans/p1');
  expect(on.trouble).toEqual([]);
});

test('says why not, and what is wrong with the form', async () => {
  on.service.answers.set('GET /kegs/right/plan', { status: 200, body: { ...REFUSED_PLAN, kegId: 'right' } });
  await on.open('/kegs/right/plan');
  await on.page.getByRole('textbox', { name: 'Bottles', exact: true }).fill('2.5');
  await on.page.getByRole('button', { name: 'Work it out' }).click();
  await on.page.getByText('Say how many bottles, as a whole number.').waitFor();
  await on.page.getByRole('textbox', { name: 'Bottles', exact: true }).fill('24');
  await on.page.getByRole('button', { name: 'Work it out' }).click();
  await on.page.getByText('plan fewer').waitFor();
  expect(await on.page.getByRole('button', { name: 'Keep this plan' }).count()).toBe(0);
});

test('asks for the beer first where none is entered', async () => {
  on.service.kegs = [UNFILLED_KEG];
  await on.open(`/kegs/${UNFILLED_KEG.kegId}/plan`);
  await on.page.getByText('There is no beer in this keg').waitFor();
});

test('stands well at every size, light and dark', async () => {
  answerKept(KEPT_PLANS.map((one) => ({ ...one, kegId: 'right' })));
  for (const theme of ['light', 'dark'] as const) {
    await on.page.emulateMedia({ colorScheme: theme });
    for (const size of [PHONE, TABLET, DESKTOP]) {
      await on.page.setViewportSize(size);
      await on.open('/kegs/right/plan');
      await on.page.getByRole('button', { name: 'Work it out' }).click();
      await on.page.getByRole('heading', { name: 'What you need' }).waitFor();
      await loadAxe(on.page);
      expect(await accessibilityFindings(on.page)).toEqual([]);
      expect(await on.page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBe(0);
    }
  }
});

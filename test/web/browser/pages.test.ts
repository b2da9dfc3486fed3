import type { Browser, BrowserContext, Page, Route } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { buildDashboardIfStale } from '../../../web/build.ts';
import {
  ACT_KEG,
  READY_KEG,
  SAMPLE_ALERT,
  SILENT_ALERT,
  SUGGESTED_KEG,
  UNFILLED_KEG,
  WAIT_KEG,
} from '../../../web/components/sample-states.ts';
import {
  accessibilityFindings,
  DESKTOP,
  loadAxe,
  PHONE,
  startBrowser,
  TABLET,
  watchTrouble,
} from '../support/browser.ts';
import { type FakeService, startFakeService } from '../support/fake-service.ts';
import { giveSampleAnswers } from '../support/sample-answers.ts';

/** The built pages in a real browser, before a service that says what the test wants. */
let browser: Browser;
let service: FakeService;
let context: BrowserContext;
let page: Page;
let trouble: string[];

beforeAll(async () => {
  browser = await startBrowser();
});
afterAll(() => browser?.close());

beforeEach(async () => {
  service = await startFakeService(await buildDashboardIfStale());
  giveSampleAnswers(service, Date.now());
  service.kegs = [READY_KEG, WAIT_KEG, ACT_KEG];
  service.alerts = [SAMPLE_ALERT, SILENT_ALERT];
  context = await browser.newContext({ viewport: DESKTOP, reducedMotion: 'reduce' });
  page = await context.newPage();
  trouble = watchTrouble(page);
});
afterEach(async () => {
  await context.close();
  await service.close();
});

const open = (path: string) => page.goto(service.address + path);
const words = () => page.locator('.keg .state').allTextContents();

describe('now', () => {
  test('lists who needs someone first, each with word, sentence and values', async () => {
    await open('/');
    await page.locator('.keg').first().waitFor();
    expect(await words()).toEqual(['Needs you', 'Waiting', 'Ready']);
    const first = await page.locator('.keg').first().textContent();
    expect(first).toContain('Slow Bicycle');
    expect(first).toContain('Turn the regulator to 63 kPa');
    expect(first).toMatch(/1\.4\u00a0°C, 88\u00a0kPa, \d+\u00a0s ago/);
    expect(await page.locator('h1').textContent()).toBe('One keg needs you');
    expect(trouble).toEqual([]);
  });

  test('follows a change, and speaks it once in the live region', async () => {
    await open('/');
    await page.locator('.keg').first().waitFor();
    const verdict = { ...ACT_KEG.verdict, kind: 'ready' as const, headline: 'It holds here.' };
    service.send({ type: 'keg', revision: 2, state: { ...ACT_KEG, verdict } });
    await page.getByText('Nobody is needed').waitFor();
    expect(await page.locator('[aria-live]').allTextContents()).toEqual(['Slow Bicycle: Ready. It holds here.']);
  });

  test('says how a first reading is published when there is no keg', async () => {
    service.kegs = [];
    await open('/');
    await page.getByRole('heading', { name: 'No keg has been heard yet' }).waitFor();
    expect(await page.locator('code').allTextContents()).toEqual([
      'mosquitto_pub -t probes/one/beer-temperature -m 4.2',
      'mosquitto_pub -t probes/one/headspace-pressure -m \'{"value":0.8,"unit":"bar"}\'',
    ]);
  });

  test('adds a keg that was heard', async () => {
    service.kegs = [SUGGESTED_KEG];
    await open('/');
    await page.getByRole('button', { name: 'Add this keg' }).click();
    await expect.poll(() => service.changes).toEqual([{ what: 'PUT /kegs/one', body: {} }]);
  });

  test('a silent service makes the page say so, and what it last knew', { timeout: 60_000 }, async () => {
    await open('/');
    await page.locator('.keg').first().waitFor();
    service.cut();
    await page.getByText(/^No data since \d\d:\d\d$/).waitFor({ timeout: 20_000 });
    expect(await words()).toEqual(['Can’t tell', 'Can’t tell', 'Can’t tell']);
    expect(await page.locator('.keg').first().textContent()).toMatch(/Needed you at \d\d:\d\d/);
    expect(await page.locator('.keg s').count()).toBeGreaterThanOrEqual(6);
    service.restore();
    await page.getByText('One keg needs you').waitFor({ timeout: 20_000 });
    expect(await page.locator('.band-lost').count()).toBe(0);
  });

  test('shows what it knew at the last visit while the service cannot be reached', { timeout: 60_000 }, async () => {
    await open('/');
    await page.locator('.keg').first().waitFor();
    await page.getByRole('link', { name: 'Settings' }).click();
    service.cut();
    await open('/');
    await page.getByText('Slow Bicycle').waitFor();
    await page.getByText(/^No data since/).waitFor({ timeout: 20_000 });
  });
});

describe('keg', () => {
  test('says whether it can be filled and draws map and curve', async () => {
    await open('/kegs/right');
    await page.locator('.charts canvas').first().waitFor();
    expect(await page.locator('h1').textContent()).toBe('Needs you');
    expect(await page.locator('.check').first().textContent()).toContain('Heading past its window');
    const map = page.getByRole('slider', { name: /carbonation map/ });
    expect(await map.getAttribute('aria-valuetext')).toContain('above its window');
    expect(await page.locator('.map-field .ring').count()).toBeGreaterThan(2);
    expect(await page.locator('.charts canvas').count()).toBe(2);
    expect(trouble).toEqual([]);
  });

  test('the keyboard walks over map and curve', async () => {
    await open('/kegs/right');
    await page.locator('.charts canvas').first().waitFor();
    const map = page.getByRole('slider', { name: /carbonation map/ });
    await map.focus();
    await map.press('ArrowDown');
    expect(await map.getAttribute('aria-valuetext')).toMatch(/1\.4\u00a0°C and 87\u00a0kPa would end in 2\.8/);
    const curve = page.getByRole('slider', { name: /on the curve/ });
    await curve.focus();
    const last = await curve.getAttribute('aria-valuetext');
    await curve.press('PageUp');
    expect(await curve.getAttribute('aria-valuetext')).not.toBe(last);
  });

  test('looks closer by a drag and by buttons, and asks the service for that span', async () => {
    await open('/kegs/right');
    const chart = page.locator('.charts .u-over').first();
    await chart.waitFor();
    await chart.scrollIntoViewIfNeeded();
    const box = await chart.boundingBox();
    if (box === null) throw new Error('the chart has no size');
    const asked = page.waitForRequest((request) => isCurveOf(request.url(), 20, 40));
    await page.mouse.move(box.x + box.width * 0.4, box.y + 40);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.6, box.y + 40, { steps: 4 });
    await page.mouse.up();
    const hours = spanHours((await asked).url());
    const closer = page.waitForRequest((request) => isCurveOf(request.url(), 5, 20));
    await page.getByRole('button', { name: 'Closer' }).click();
    expect(spanHours((await closer).url())).toBeCloseTo(hours / 2, 0);
  });

  test('looks closer by a pinch of two fingers', async () => {
    await open('/kegs/right');
    const chart = page.locator('.charts .u-over').first();
    await chart.waitFor();
    const asked = page.waitForRequest((request) => isCurveOf(request.url(), 20, 110));
    await chart.evaluate((over: HTMLElement) => {
      const { left, width, top } = over.getBoundingClientRect();
      const say = (type: string, ...shares: readonly number[]): void => {
        const touches = shares.map(
          (share, identifier) =>
            new Touch({ identifier, target: over, clientX: left + width * share, clientY: top + 20 }),
        );
        over.dispatchEvent(new TouchEvent(type, { touches, bubbles: true, cancelable: true }));
      };
      say('touchstart', 0.4, 0.6);
      say('touchmove', 0.3, 0.7);
      say('touchend');
    });
    // Fingers that part to twice their distance show half of the 146 hours.
    expect(spanHours((await asked).url())).toBeCloseTo(72, -1);
  });

  test('gives the curve as a table', async () => {
    await open('/kegs/right');
    await page.getByRole('button', { name: 'Show as a table' }).click();
    expect(await page.locator('.curve-table').first().locator('tbody tr').count()).toBe(40);
  });
});

describe('entries of a keg', () => {
  test('takes what is in the keg, with window, purges and gas', async () => {
    service.kegs = [UNFILLED_KEG];
    await open('/kegs/one');
    await page.getByLabel('Name of the beer').fill('Wet Tuesday');
    await page.getByLabel('Headspace purged, times').fill('5');
    await page.getByRole('button', { name: 'This is in the keg' }).click();
    await expect
      .poll(() => service.changes.map((change) => change.what))
      .toEqual(['POST /kegs/one/batch', 'POST /kegs/one/events', 'POST /kegs/one/events', 'POST /kegs/one/events']);
    expect(service.changes[0]?.body).toMatchObject({ name: 'Wet Tuesday', totalLitres: 19 });
    expect(service.changes[1]?.body).toMatchObject({ kind: 'target-set', volumes: 2.45, tolerance: 0.15 });
    expect(service.changes[2]?.body).toMatchObject({ kind: 'headspace-purged', times: 5 });
  });

  test('shows in the service’s words why an entry was refused', async () => {
    service.answers.set('POST /kegs/right/events', {
      status: 400,
      body: {
        type: 'urn:quietkeg:problem:body-invalid',
        title: 'The request is not of the expected form',
        status: 400,
        detail: 'The keg cannot be opened before it was filled.',
        errors: [{ pointer: '/at', detail: 'is before the filling' }],
      },
    });
    await open('/kegs/right');
    await page.getByRole('button', { name: 'Enter it' }).click();
    await page.getByText('at: is before the filling').waitFor();
    // The sentence about the whole says the same again: each thing is said once, and at its field if that is shown.
    expect(await page.getByText('The keg cannot be opened before it was filled.').count()).toBe(0);
    await page.getByRole('button', { name: 'Was it earlier?' }).click();
    await page.getByRole('button', { name: 'Enter it' }).click();
    await page.locator('.did .wrong', { hasText: 'Is before the filling' }).waitFor();
    await page.getByText('Look at what is marked: When.').waitFor();
    // What is taken later ends the trouble.
    service.answers.delete('POST /kegs/right/events');
    await page.getByRole('button', { name: 'Withdraw gas closed' }).click();
    await page.getByRole('button', { name: /^It did not happen/ }).click();
    await expect.poll(() => page.locator('.did .wrong, .trouble').count()).toBe(0);
  });

  test('trouble of a time when nobody answered ends when Quietkeg is reached again', { timeout: 60_000 }, async () => {
    await open('/kegs/right');
    await page.getByRole('button', { name: 'Enter it' }).waitFor();
    const refuse = (route: Route) => route.abort();
    await page.route('**/api/v1/kegs/right/events', refuse);
    service.cut();
    await page.getByRole('button', { name: 'Enter it' }).click();
    await page.getByText('Quietkeg did not answer, so whether this was taken is not known.').waitFor();
    await page.unroute('**/api/v1/kegs/right/events', refuse);
    service.restore();
    await expect.poll(() => page.getByText('Quietkeg did not answer').count(), { timeout: 30_000 }).toBe(0);
  });

  test('withdraws an event only after asking', async () => {
    await open('/kegs/right');
    await page.getByRole('button', { name: 'Withdraw gas closed' }).click();
    expect(service.changes).toEqual([]);
    await page.getByRole('button', { name: /^It did not happen ?: gas closed/ }).click();
    await expect.poll(() => service.changes.map((change) => change.what)).toEqual(['DELETE /kegs/right/events/e7']);
  });
});

describe('entries that hold for more than one keg', () => {
  test('say so, and ask so before they are withdrawn', async () => {
    await open('/kegs/right');
    const fridge = page.locator('.log li', { hasText: 'Fridge set' });
    await fridge.getByText('for the whole Garage fridge').waitFor();
    await page.getByRole('button', { name: 'Withdraw fridge set' }).click();
    await fridge.getByText('It counts for every keg in “Garage fridge”.').waitFor();
    expect(await page.locator('.log li', { hasText: 'Gas closed' }).textContent()).not.toContain('whole');
  });

  test('stand apart if they are older than the beer', async () => {
    const filledAt = new Date(Date.now() - 70 * 3_600_000).toISOString();
    service.kegs = [{ ...ACT_KEG, filledAt }];
    await open('/kegs/right');
    await page.getByText('Before this beer came in: 5').click();
    await page.locator('.before li', { hasText: 'Regulator turned' }).waitFor();
    // The fridge was set 60 hours ago and the gas closed 1 hour ago.
    expect(await page.locator('.log > ol li').count()).toBe(2);
  });
});

describe('probes', () => {
  test('places a topic that was heard, and asks before it stands beside another probe', async () => {
    await open('/probes');
    await page.getByLabel('This is').selectOption('air-temperature');
    // Nothing is chosen for the reader: a press on the button leads to the first open question.
    await page.getByRole('button', { name: 'Use it' }).click();
    expect(await page.getByLabel(/^Where(?! in)/).inputValue()).toBe('');
    await page.getByLabel(/^Where(?! in)/).selectOption('place/fridge');
    await page.getByLabel('The probe sits').selectOption('air');
    await page.getByLabel('The value is').selectOption('/t');
    await page.getByRole('button', { name: 'Use it' }).click();
    await page.getByText(/^Garage fridge has an air thermometer already, heard \d+\u00a0s ago/).waitFor();
    expect(service.changes).toEqual([]);
    await page.getByRole('button', { name: 'Use this one as well' }).click();
    await expect
      .poll(() => service.changes)
      .toMatchObject([
        {
          what: 'PUT /probes/place.fridge.air-temperature.2',
          body: {
            topic: 'garage/shelf-7/temp',
            pointer: '/t',
            unit: 'Cel',
            quantity: 'air-temperature',
            of: 'place/fridge',
            place: 'air',
          },
        },
      ]);
  });

  test('fills in the keg that a topic names, and lets it take the place of a probe', async () => {
    const probes = service.answers.get('GET /probes')?.body;
    const heard = [
      { topic: 'cellar/left/beer-temp', sample: '3.4', lastHeardAt: new Date().toISOString(), messages: 1 },
    ];
    service.answers.set('GET /probes', { status: 200, body: { ...Object(probes), heard } });
    await open('/probes');
    await page.getByText('one message so far').waitFor();
    expect(await page.getByLabel('This is').inputValue()).toBe('beer-temperature');
    expect(await page.getByLabel(/^Where(?! in)/).inputValue()).toBe('left');
    expect(await page.getByLabel('The probe sits').inputValue()).toBe('');
    await page.getByLabel('The probe sits').selectOption('thermowell');
    await page.getByRole('button', { name: 'Use it' }).click();
    await page.getByRole('button', { name: 'Use this one instead of it' }).click();
    await expect
      .poll(() => service.changes)
      .toMatchObject([{ what: 'PUT /probes/left.beer-temperature', body: { topic: 'cellar/left/beer-temp' } }]);
  });
});

describe('alerts, settings', () => {
  test('acknowledges and mutes an alert', async () => {
    await open('/alerts');
    await page.getByRole('button', { name: /^I am on it ?: The pressure probe/ }).click();
    await page.getByRole('button', { name: /^Quiet for a while ?: The pressure probe/ }).click();
    await page.getByRole('button', { name: 'Quiet for 8 h' }).click();
    await expect
      .poll(() => service.changes)
      .toEqual([
        { what: 'POST /alerts/a2/acknowledgement', body: null },
        { what: 'POST /alerts/a2/mute', body: { hours: 8 } },
      ]);
  });

  test('good news asks nobody to be on it: it is only seen', async () => {
    await open('/alerts');
    const news = page.locator('.alert', { hasText: 'Wet Tuesday is cold enough to fill' });
    expect(await news.getByRole('button', { name: /^I am on it/ }).count()).toBe(0);
    await news.getByRole('button', { name: /^Seen ?: Wet Tuesday/ }).click();
    await expect.poll(() => service.changes).toEqual([{ what: 'POST /alerts/a1/acknowledgement', body: null }]);
  });

  test('a barometer that is heard is said to decide the air pressure', async () => {
    await open('/settings');
    await page.getByText('sea level is assumed').waitFor();
    expect(await page.getByText('A barometer is heard').count()).toBe(0);
    service.kegs = [{ ...READY_KEG, ambientFrom: 'barometer', ambientKpaAbsolute: 98.6 }];
    await open('/settings');
    await page.getByText(/A barometer is heard and decides the air pressure now: 99\u00a0kPa/).waitFor();
  });

  test('keeps altitude and units with the site, and the theme with the device', async () => {
    await open('/settings');
    await page.getByText('sea level is assumed').waitFor();
    await page.getByLabel('Altitude, m above sea level').fill('240');
    await page.getByRole('button', { name: 'Keep these' }).click();
    await expect
      .poll(() => service.changes.at(-1))
      .toEqual({
        what: 'PUT /site',
        body: { timeZone: 'Europe/Vienna', altitudeM: 240 },
      });
    await page.getByRole('button', { name: 'psi', exact: true }).click();
    await expect
      .poll(() => service.changes.at(-1)?.body)
      .toMatchObject({
        units: { temperature: 'Cel', pressure: '[psi]', carbonation: 'volumes', volume: 'L' },
      });
    await page.getByRole('button', { name: 'Dark', exact: true }).click();
    expect(await page.evaluate(() => document.documentElement.dataset.theme)).toBe('dark');
    await page.reload();
    expect(await page.evaluate(() => document.documentElement.dataset.theme)).toBe('dark');
  });
});

describe('every page', () => {
  const PATHS = [
    '/',
    '/kegs/right',
    '/kegs/one',
    '/batches',
    '/batches/b1',
    '/batches/b0',
    '/kegs/right/gas-check',
    '/kegs/one/gas-check',
    '/probes',
    '/alerts',
    '/alerts/rules',
    '/alerts/health',
    '/settings',
    '/settings/telling',
    '/nowhere',
  ];

  test.each(['light', 'dark'] as const)(
    'passes the accessibility checker in %s',
    { timeout: 120_000 },
    async (scheme) => {
      service.kegs = [READY_KEG, WAIT_KEG, ACT_KEG, UNFILLED_KEG, { ...SUGGESTED_KEG, kegId: 'two' }];
      await page.emulateMedia({ colorScheme: scheme });
      const findings: string[] = [];
      for (const size of [PHONE, TABLET, DESKTOP]) {
        await page.setViewportSize(size);
        for (const path of PATHS) {
          await open(path);
          await page.locator('main h1').waitFor();
          await page.waitForLoadState('networkidle');
          await loadAxe(page);
          for (const finding of await accessibilityFindings(page))
            findings.push(`${path} at ${size.width}: ${finding}`);
          for (const small of await smallTargets(page)) findings.push(`${path} at ${size.width}: ${small}`);
          const sideways = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
          if (sideways > 0) findings.push(`${path} at ${size.width}: scrolls sideways by ${sideways} px`);
        }
      }
      expect(findings).toEqual([]);
    },
  );

  test('works from a plain address that is no localhost, where browsers give pages less', async () => {
    const plain = await startBrowser(['--host-resolver-rules=MAP keg-box.test 127.0.0.1']);
    const there = await plain.newPage();
    const said = watchTrouble(there);
    await there.goto(`http://keg-box.test:${new URL(service.address).port}/`);
    await there.getByText('One keg needs you').waitFor();
    expect(await there.evaluate(() => window.isSecureContext)).toBe(false);
    service.kegs = [];
    await there.reload();
    await there.getByRole('button', { name: 'Copy the line for a temperature' }).click();
    await there.getByText('Marked: copy it').waitFor();
    expect(await there.evaluate(() => String(getSelection()))).toContain(
      'mosquitto_pub -t probes/one/beer-temperature',
    );
    expect(said).toEqual([]);
    await plain.close();
  });
});

const isCurveOf = (address: string, least: number, most: number): boolean =>
  address.includes('/curve?') && spanHours(address) > least && spanHours(address) < most;

/** Hours between `from` and `to` of a curve's address. */
function spanHours(address: string): number {
  const query = new URL(address).searchParams;
  return (Date.parse(query.get('to') ?? '') - Date.parse(query.get('from') ?? '')) / 3_600_000;
}

/** Buttons, fields and page links lower than a thumb needs. */
function smallTargets(on: Page): Promise<string[]> {
  return on.evaluate(() =>
    [...document.querySelectorAll('button, select, .field input, .tick, summary, .pages a, .mark')]
      .filter((element) => element.getBoundingClientRect().height > 0 && element.getBoundingClientRect().height < 47.5)
      .map((element) => `lower than 48 px: ${element.textContent} (${element.getBoundingClientRect().height} px)`),
  );
}

import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach } from 'vitest';
import { buildDashboardIfStale } from '../../../web/build.ts';
import { DESKTOP, startBrowser, watchTrouble } from './browser.ts';
import { type FakeService, startFakeService } from './fake-service.ts';
import { giveSampleAnswers } from './sample-answers.ts';

/** What a test of the built pages works with; anew for every test. */
export interface Dashboard {
  readonly service: FakeService;
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors that the page reported. */
  readonly trouble: readonly string[];
  open(path: string): Promise<void>;
}

/** Opens the built dashboard before a service that says what the test wants. Call it once, at the top of a test file. */
export function dashboardForTests(prepare: (service: FakeService) => void): Dashboard {
  let browser: Browser | null = null;
  let current: Dashboard | null = null;
  const here = (): Dashboard => {
    if (current === null) throw new Error('the dashboard is open only while a test runs');
    return current;
  };
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(() => browser?.close());
  beforeEach(async () => {
    if (browser === null) throw new Error('the browser did not start');
    const service = await startFakeService(await buildDashboardIfStale());
    giveSampleAnswers(service, Date.now());
    prepare(service);
    const context = await browser.newContext({ viewport: DESKTOP, reducedMotion: 'reduce' });
    const page = await context.newPage();
    const trouble = watchTrouble(page);
    const open = async (path: string): Promise<void> => void (await page.goto(service.address + path));
    current = { service, page, context, trouble, open };
  });
  afterEach(async () => {
    await current?.context.close();
    await current?.service.close();
    current = null;
  });
  return {
    get service() {
      return here().service;
    },
    get page() {
      return here().page;
    },
    get context() {
      return here().context;
    },
    get trouble() {
      return here().trouble;
    },
    open: (path) => here().open(path),
  };
}

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { accessibilityFindings, DESKTOP, loadAxe, PHONE, startBrowser, watchTrouble } from '../support/browser.ts';
import { type FakeService, startFakeService } from '../support/fake-service.ts';

/** Every state of every component, light and dark, on phone and desktop, goes through the accessibility checker. */
const folder = mkdtempSync(join(tmpdir(), 'quietkeg-examples-'));
let browser: Browser;
let service: FakeService;
let page: Page;
let trouble: string[];

beforeAll(async () => {
  await build({
    root: fileURLToPath(new URL('../support/examples', import.meta.url)),
    logLevel: 'warn',
    configFile: false,
    oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
    build: { outDir: folder, emptyOutDir: true, assetsInlineLimit: 0 },
  });
  service = await startFakeService(folder);
  browser = await startBrowser();
  page = await browser.newPage({ reducedMotion: 'reduce' });
  trouble = watchTrouble(page);
  await page.goto(service.address);
  await page.waitForFunction(() => 'exampleNames' in window);
  await loadAxe(page);
});

afterAll(async () => {
  await browser?.close();
  await service?.close();
  rmSync(folder, { recursive: true, force: true });
});

test.each(['light', 'dark'] as const)('all examples pass the checker in %s', { timeout: 300_000 }, async (theme) => {
  const names = await page.evaluate(() => window.exampleNames);
  expect(names.length).toBeGreaterThan(50);
  const findings: string[] = [];
  for (const size of [PHONE, DESKTOP]) {
    await page.setViewportSize(size);
    for (const [index, { component, name }] of names.entries()) {
      await page.evaluate(([which, colours]) => window.showExample(which, colours), [index, theme] as const);
      // Drawings appear with the first layout: two frames later everything stands.
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
      for (const finding of await accessibilityFindings(page)) {
        findings.push(`${component} "${name}" at ${size.width}: ${finding}`);
      }
      const sideways = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      if (sideways > 0) findings.push(`${component} "${name}" at ${size.width}: scrolls sideways by ${sideways} px`);
    }
  }
  expect(findings).toEqual([]);
  expect(trouble).toEqual([]);
});

test('every component has its states listed', async () => {
  const { readdirSync, existsSync } = await import('node:fs');
  const components = fileURLToPath(new URL('../../../web/components/', import.meta.url));
  const folders = readdirSync(components, { withFileTypes: true }).filter((entry) => entry.isDirectory());
  expect(folders.length).toBeGreaterThan(15);
  const without = folders.filter((entry) => !existsSync(join(components, entry.name, 'examples.ts')));
  expect(without.map((entry) => entry.name)).toEqual([]);
});

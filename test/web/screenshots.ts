import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import type { Browser } from 'playwright-core';
import { buildDashboardIfStale } from '../../web/build.ts';
import { DESKTOP, PHONE, startBrowser, TABLET, watchTrouble } from './support/browser.ts';

/**
 * Writes a picture of every page of the real program's demo into `screenshots/`, at three sizes, light and dark.
 * Fails if a page reports an error or scrolls sideways.
 */
const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const SIZES = { phone: PHONE, tablet: TABLET, desktop: DESKTOP } as const;
const THEMES = ['light', 'dark'] as const;
const START_MS_MAX = 60_000;

await buildDashboardIfStale();
const folder = mkdtempSync(join(tmpdir(), 'quietkeg-screenshots-'));
const { program, address } = await startDemo(folder);
const browser = await startBrowser();
try {
  const kegs = await kegIds(address);
  const pages = new Map([
    ['now', ''],
    ...kegs.map((kegId): [string, string] => [`keg-${kegId}`, `kegs/${kegId}`]),
    ...kegs.map((kegId): [string, string] => [`gas-check-${kegId}`, `kegs/${kegId}/gas-check`]),
    ...kegs.map((kegId): [string, string] => [`plan-${kegId}`, `kegs/${kegId}/plan`]),
    ...kegs.map((kegId): [string, string] => [`fill-${kegId}`, `kegs/${kegId}/fill`]),
    ['fills', 'fills'],
    ...(await fillIds(address, kegs)).map((fillId): [string, string] => [`fill-record-${fillId}`, `fills/${fillId}`]),
    ['batches', 'batches'],
    ...(await batchIds(address)).map((batchId): [string, string] => [`batch-${batchId}`, `batches/${batchId}`]),
    ['probes', 'probes'],
    ['alerts', 'alerts'],
    ['alert-rules', 'alerts/rules'],
    ['alert-health', 'alerts/health'],
    ['settings', 'settings'],
    ['telling', 'settings/telling'],
  ]);
  mkdirSync(join(ROOT, 'screenshots'), { recursive: true });
  for (const size of ['phone', 'tablet', 'desktop'] as const) {
    for (const theme of THEMES) await shootAll(browser, pages, size, theme);
  }
} finally {
  await browser.close();
  await stopped(program);
  rmSync(folder, { recursive: true, force: true });
}

async function shootAll(
  from: Browser,
  pages: ReadonlyMap<string, string>,
  size: keyof typeof SIZES,
  theme: (typeof THEMES)[number],
): Promise<void> {
  const page = await from.newPage({ viewport: SIZES[size], colorScheme: theme, reducedMotion: 'reduce' });
  const trouble = watchTrouble(page);
  for (const [name, path] of pages) {
    await page.goto(address + path);
    await page.locator('main h1').waitFor();
    await page.waitForLoadState('networkidle');
    const sideways = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    if (sideways > 0) trouble.push(`${name} scrolls sideways by ${sideways} px`);
    // The first view as it is seen, and the whole of what is longer; the bar at the thumb would lie across it.
    const file = join(ROOT, 'screenshots', `${name}-${size}-${theme}`);
    await page.screenshot({ path: `${file}.png` });
    if (size === 'phone')
      await page.locator('.pages').evaluateAll((bars) => {
        for (const bar of bars) if (bar instanceof HTMLElement) bar.style.setProperty('visibility', 'hidden');
      });
    await page.screenshot({ path: `${file}-whole.png`, fullPage: true });
  }
  await page.close();
  if (trouble.length > 0) throw new Error(`${size}, ${theme}: ${trouble.join('\n')}`);
}

async function startDemo(data: string): Promise<{ program: ChildProcess; address: string }> {
  const started = spawn(process.execPath, ['src/main.ts', 'serve', '--demo'], {
    cwd: ROOT,
    env: { ...process.env, QUIETKEG_DATA: data, QUIETKEG_HTTP_PORT: '0', QUIETKEG_MQTT_PORT: '0' },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const said = await new Promise<string>((resolve, reject) => {
    let text = '';
    const tooLate = setTimeout(() => reject(new Error(`the demo did not start; it said: ${text}`)), START_MS_MAX);
    started.stdout?.on('data', (chunk) => {
      text += String(chunk);
      const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(text);
      if (found === null) return;
      clearTimeout(tooLate);
      resolve(found[0]);
    });
    started.once('exit', (code) => reject(new Error(`the demo ended with ${code}; it said: ${text}`)));
  });
  return { program: started, address: said };
}

async function kegIds(at: string): Promise<string[]> {
  const response = await fetch(`${at}api/v1/kegs`);
  const body: { kegs: { kegId: string }[] } = await response.json();
  return body.kegs.map((keg) => keg.kegId);
}

/** One batch that goes on and one that is over, if there are such: their pages are all alike. */
async function batchIds(at: string): Promise<string[]> {
  const response = await fetch(`${at}api/v1/batches`);
  const { batches }: { batches: { batchId: string; endedAt: string | null }[] } = await response.json();
  const kinds = [batches.find((batch) => batch.endedAt === null), batches.find((batch) => batch.endedAt !== null)];
  return kinds.flatMap((batch) => (batch === undefined ? [] : [batch.batchId]));
}

/** Fills a few bottles from the first keg that holds beer, and goes on filling from the last. */
async function fillIds(at: string, kegs: readonly string[]): Promise<string[]> {
  const ids: string[] = [];
  for (const [index, kegId] of kegs.entries()) {
    const put = (method: string, path: string, body: object) =>
      fetch(`${at}api/v1${path}`, {
        method,
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify(body),
      });
    const fillId = `picture-${index + 1}`;
    const started = await put('POST', '/fills', { kegId, fillId, planned: [{ count: 12, sizeL: 0.5 }] });
    if (!started.ok) continue;
    for (let number = 1; number <= 7; number += 1) {
      const note = number === 5 ? 'foamy' : 'clean';
      await put('PUT', `/fills/${fillId}/bottles/00000000-0000-4000-8000-00000000000${number}`, { sizeL: 0.5, note });
    }
    if (index > 0) continue;
    await put('PATCH', `/fills/${fillId}`, { endedAt: new Date().toISOString() });
    ids.push(fillId);
  }
  return ids;
}

async function stopped(child: ChildProcess): Promise<void> {
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  child.kill('SIGTERM');
  await gone;
}

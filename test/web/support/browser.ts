import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import { type Browser, chromium, type Page } from 'playwright-core';

/** Where the browser is, unless the environment says otherwise. */
const CHROMIUM = process.env.QUIETKEG_CHROMIUM ?? '/usr/bin/chromium';

/** Starts a browser that talks to nobody but us. Fails with what to install if there is none. */
export async function startBrowser(more: readonly string[] = []): Promise<Browser> {
  try {
    return await chromium.launch({
      executablePath: CHROMIUM,
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        ...more,
      ],
    });
  } catch (cause) {
    throw new Error(`no browser at ${CHROMIUM}: install the package chromium, or name another in QUIETKEG_CHROMIUM`, {
      cause,
    });
  }
}

export const PHONE = { width: 390, height: 844 } as const;
export const TABLET = { width: 1024, height: 768 } as const;
export const DESKTOP = { width: 1440, height: 900 } as const;

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Puts the accessibility checker into a page; it stays until the page is left. */
export async function loadAxe(page: Page): Promise<void> {
  await page.evaluate(axeSource);
}

/** What the checker finds wrong with the page as it stands, one line a finding. Empty is good. */
export async function accessibilityFindings(page: Page): Promise<string[]> {
  const results: AxeResults = await page.evaluate('axe.run(document, { resultTypes: ["violations"] })');
  return results.violations.flatMap((violation) =>
    violation.nodes.map(
      (node) => `${violation.id}: ${node.target.join(' ')}: ${node.failureSummary ?? violation.help}`,
    ),
  );
}

/** Errors and refusals that the page reports: scripts, styles or requests that the content policy stops are among them. */
export function watchTrouble(page: Page): string[] {
  const trouble: string[] = [];
  page.on('pageerror', (error) => trouble.push(error.stack ?? error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') trouble.push(message.text());
  });
  return trouble;
}

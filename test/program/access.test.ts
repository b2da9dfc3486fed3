/** Aim: the whole way in, as people go it: the running program, a plain name in the house, a real browser. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import type { Browser } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { accessibilityFindings, DESKTOP, loadAxe, startBrowser, watchTrouble } from '../web/support/browser.ts';
import { type RunningProgram, runToEnd, startProgram, temporaryFolder } from './support/running-program.ts';

const PASSPHRASE = 'moss lantern oboe';
/** What a browser's console tells of refusals before the log-in. */
const REFUSED = /status of 40[13]|HTTP Authentication failed/;
let browser: Browser;
let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let program: RunningProgram | null;

beforeAll(async () => {
  browser = await startBrowser(['--host-resolver-rules=MAP keg-box.test 127.0.0.1']);
});
afterAll(() => browser.close());
beforeEach(async () => {
  folder = await temporaryFolder();
  program = null;
});
afterEach(async () => {
  await program?.end('SIGKILL');
  await folder.remove();
});

/** `quietkeg passphrase`, its passphrase on standard input. */
async function setPassphrase(text = PASSPHRASE): Promise<{ code: number; out: string }> {
  const child = spawn(process.execPath, ['src/main.ts', 'passphrase'], {
    env: { PATH: process.env.PATH, HOME: folder.path, QUIETKEG_DATA: folder.path },
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  let out = '';
  child.stdout.on('data', (bytes: Buffer) => {
    out += bytes.toString();
  });
  child.stdin.end(`${text}\n`);
  const [code] = await once(child, 'close');
  return { code: Number(code), out };
}

describe('before there is a passphrase', () => {
  test.each([{ QUIETKEG_HTTP_HOST: '0.0.0.0' }, { QUIETKEG_MQTT_HOST: '0.0.0.0' }])(
    'it refuses to listen beyond this machine: %j',
    async (environment) => {
      const { code, err } = await runToEnd({ folder: folder.path, environment });
      expect(code).toBe(78);
      expect(err.trim().split('\n')).toEqual([expect.stringMatching(/can be reached from other machines and no /)]);
    },
  );

  test('a browser elsewhere sets it with the token that the start prints', async () => {
    program = await startProgram({
      folder: folder.path,
      environment: {
        QUIETKEG_HTTP_HOST: '0.0.0.0',
        QUIETKEG_HTTP_FIRST_RUN: 'true',
        QUIETKEG_HTTP_NAMES: 'keg-box.test',
      },
    });
    const token = /asks for this token: (\S+)/.exec(program.written())?.[1] ?? '';
    const page = await browser.newPage({ viewport: DESKTOP });
    const trouble = watchTrouble(page);
    await page.goto(`http://keg-box.test:${new URL(program.address).port}/`);
    await page.getByLabel('Token').fill(token);
    await page.getByLabel('New passphrase').fill(PASSPHRASE);
    await page.getByLabel('Once more').fill(PASSPHRASE);
    await loadAxe(page);
    expect(await accessibilityFindings(page)).toEqual([]);
    await page.getByRole('button', { name: 'Set the passphrase' }).click();
    await page.getByText('mosquitto_pub', { exact: false }).first().waitFor();
    expect(trouble.filter((line) => !REFUSED.test(line))).toEqual([]);
    await page.close();
  });
});

describe('with a passphrase', () => {
  test('a plain name in the house: the app runs, the log-in sticks, nothing breaks the page’s policy', async () => {
    expect(await setPassphrase()).toMatchObject({ code: 0, out: 'The passphrase of the owner is set.\n' });
    program = await startProgram({
      folder: folder.path,
      environment: { QUIETKEG_HTTP_HOST: '0.0.0.0', QUIETKEG_HTTP_NAMES: 'keg-box.test' },
    });
    const address = `http://keg-box.test:${new URL(program.address).port}/`;
    const context = await browser.newContext({ viewport: DESKTOP });
    const page = await context.newPage();
    const trouble = watchTrouble(page);
    await page.goto(address);
    await page.getByLabel('Passphrase').fill('not the passphrase');
    await page.getByRole('button', { name: 'Log in' }).click();
    await page.getByText('This is not the passphrase.', { exact: false }).waitFor();
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await page.getByRole('button', { name: 'Log in' }).click();
    await page.getByText('mosquitto_pub', { exact: false }).first().waitFor();
    const cookies = await context.cookies();
    expect(cookies).toMatchObject([{ httpOnly: true, sameSite: 'Strict', secure: false, domain: 'keg-box.test' }]);
    await page.reload();
    await page.getByText('mosquitto_pub', { exact: false }).first().waitFor();
    expect(await page.evaluate(() => document.cookie)).toBe('');
    // Refusals before the log-in are told in the console; nothing else may be.
    expect(trouble.filter((line) => !REFUSED.test(line))).toEqual([]);

    // The command line changes it while the service runs: the open page is put out within a second.
    const closed = page.evaluate(
      () =>
        new Promise<number>((resolve) => {
          const socket = new WebSocket(`ws://${location.host}/api/v1/live`);
          socket.onopen = () => {
            socket.onclose = ({ code }) => resolve(code);
            document.title = 'open';
          };
        }),
    );
    await page.waitForFunction(() => document.title === 'open');
    await setPassphrase('velvet anchor brandnew');
    const changedAtMs = performance.now();
    expect(await closed).toBe(4401);
    expect(performance.now() - changedAtMs).toBeLessThan(1000);
    await page.getByRole('heading', { name: 'Log in to Quietkeg' }).waitFor();
    await context.close();
  });
});

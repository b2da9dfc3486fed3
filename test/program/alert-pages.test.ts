/**
 * Aim: the pages about alerts before the real service: a rule is tried and then changed, a webhook is added, tested and
 * verified, a person is added, an alert is made quiet with a reason, and a browser is told why it cannot be asked.
 */
import { createHmac } from 'node:crypto';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { HttpSink } from '../support/http-sink.ts';
import { accessibilityFindings, DESKTOP, loadAxe, startBrowser, watchTrouble } from '../web/support/browser.ts';
import { eventually, getJson, mosquittoPub, send } from './support/outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './support/running-program.ts';

let browser: Browser;
let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let program: RunningProgram;
let page: Page;
let trouble: string[];

beforeAll(async () => {
  browser = await startBrowser(['--host-resolver-rules=MAP keg-box.test 127.0.0.1']);
});
afterAll(() => browser.close());
beforeEach(async () => {
  folder = await temporaryFolder();
  program = await startProgram({
    folder: folder.path,
    // A plain name in the house, and nobody to be kept out there.
    environment: { QUIETKEG_HTTP_NAMES: 'keg-box.test', QUIETKEG_HTTP_TRUST_NETWORK: 'true' },
  });
  page = await browser.newPage({ viewport: DESKTOP });
  trouble = watchTrouble(page);
});
afterEach(async () => {
  await page.close();
  await program.end('SIGKILL');
  await folder.remove();
});

/** A keg that has been cold enough for eleven minutes: its alert is told. */
async function coldKeg(): Promise<void> {
  await send(program, 'PUT', 'api/v1/kegs/one', { name: 'One' });
  for (let minute = -11; minute <= 0; minute += 1) {
    const time = new Date(Date.now() + minute * 60_000).toISOString();
    await mosquittoPub(program, 'probes/one/beer-temperature', JSON.stringify({ value: 1.9, unit: 'Cel', time }));
  }
  await eventually(
    () => getJson<{ alerts: { state: string }[] }>(program, 'api/v1/alerts?open=true'),
    ({ alerts }) => alerts.some(({ state }) => state === 'active'),
  );
}
const passes = async (): Promise<void> => {
  await loadAxe(page);
  expect(await accessibilityFindings(page)).toEqual([]);
};

test('a rule is tried on the past, refused at its field, and then kept', async () => {
  await coldKeg();
  await page.goto(`${program.address}alerts/rules`);
  await page.getByText('Cold enough to fill').click();
  await page.getByLabel(/^Begins this far above/).fill('99');
  await page.getByRole('button', { name: 'Keep it so' }).click();
  await page.getByText('Must lie between 0.0\u00a0°C and 3.0\u00a0°C').waitFor();
  await page.getByLabel(/^Begins this far above/).fill('1');
  await page.getByRole('button', { name: 'Try it on the last 30 days' }).click();
  await page.getByText(/^With these settings it would have sent/).waitFor({ timeout: 30_000 });
  await passes();
  const marginOf = async (): Promise<number | undefined> => {
    const { rules } = await getJson<{ rules: { rule: string; limits: { name: string; value: number }[] }[] }>(
      program,
      'api/v1/rules',
    );
    const rule = rules.find((one) => one.rule === 'cold-enough');
    return rule?.limits.find(({ name }) => name === 'marginC')?.value;
  };
  expect(await marginOf()).toBe(0.2);
  await page.getByRole('button', { name: 'Keep it so' }).click();
  await page.getByText('Kept.').waitFor();
  expect(await marginOf()).toBe(1);
  await page.getByText('good to know, changed').waitFor();
  // The refusal of the first entry is an answer of 400, which a browser reports.
  expect(trouble.filter((line) => !line.includes('400'))).toEqual([]);
});

test('a webhook is added, its secret shown once, and a test shows what the receiver answered', async () => {
  const sink = await HttpSink.open();
  sink.answer = (response) => response.writeHead(202).end('the bell rang');
  try {
    await page.goto(`${program.address}settings/telling`);
    await page.getByRole('button', { name: 'Add a channel' }).click();
    await page.getByLabel('Kind').selectOption('webhook');
    await page.getByLabel('What you call it').fill('The house');
    await page.getByLabel('Address').fill('nowhere');
    await page.getByRole('button', { name: 'Add this channel' }).click();
    await page.locator('.channel-form .wrong', { hasText: 'Give an address such as' }).waitFor();
    await page.getByLabel('Address').fill(sink.url('/hook'));
    await page.getByRole('button', { name: 'Add this channel' }).click();
    const secret = (await page.locator('.new-secret code').first().textContent()) ?? '';
    expect(secret).toMatch(/^whsec_/);
    await passes();
    await page.getByRole('button', { name: 'Send a test by The house' }).click();
    await page.getByText(/^Taken: .*the bell rang/).waitFor();
    const [heard] = sink.heard;
    if (heard === undefined) throw new Error('the receiver heard nothing');
    const { headers, body } = heard;
    // As the page explains it. @source Standard Webhooks 1.0.0
    const signed = `${headers['webhook-id']}.${headers['webhook-timestamp']}.${body.toString()}`;
    const key = Buffer.from(secret.replace('whsec_', ''), 'base64');
    expect(headers['webhook-signature']).toBe(`v1,${createHmac('sha256', key).update(signed).digest('base64')}`);
    await page.getByRole('button', { name: 'I have kept it' }).click();
    await page.reload();
    await page.getByText('The house').first().waitFor();
    expect(await page.content()).not.toContain(secret);
    sink.answer = (response) => response.writeHead(500).end('out of order');
    await page.getByRole('button', { name: 'Send a test by The house' }).click();
    await page.getByText(/^Did not arrive: .*500/).waitFor();
  } finally {
    await sink.close();
  }
});

test('an alert is made quiet for a day, with a reason that others read', async () => {
  await coldKeg();
  await page.goto(`${program.address}alerts`);
  await page.getByRole('button', { name: /^Quiet for a while/ }).click();
  await page.getByRole('button', { name: '24 h' }).click();
  await page.getByLabel('Why').fill('We fill on Saturday');
  await page.getByRole('button', { name: 'Quiet for 24 h' }).click();
  await page.getByText(/because: We fill on Saturday\./).waitFor();
  await page.goto(`${program.address}kegs/one`);
  await page.getByRole('heading', { name: 'Alerts of this keg' }).waitFor();
  await page.getByText(/because: We fill on Saturday\./).waitFor();
  await page.goto(`${program.address}alerts/health`);
  await page.getByText(/quiet because: We fill on Saturday/).waitFor();
  await page.getByText('Nobody watches Quietkeg itself.', { exact: false }).waitFor();
  await passes();
  expect(trouble).toEqual([]);
});

test('a person is added with a channel of its own, and a plain address says why a browser cannot be told', async () => {
  await page.goto(`${program.address}settings/telling`);
  await page.getByRole('button', { name: 'Add a channel' }).click();
  await page.getByLabel('Kind').selectOption('web-push');
  await page.getByLabel('What you call it').fill('Browsers');
  await page.getByLabel('How to reach you').fill('mailto:keg@club.example');
  await page.getByRole('button', { name: 'Add this channel' }).click();
  await page.getByRole('button', { name: 'Change Browsers' }).waitFor();
  await page.getByRole('button', { name: 'Add a person' }).click();
  await page.getByLabel('Name', { exact: true }).fill('Anna');
  await page.getByLabel('By Browsers').selectOption('first');
  await page.getByRole('button', { name: 'Add this person' }).click();
  await page.getByText('At once by Browsers.').waitFor();
  // No browser asked yet, so nobody would be told: that is said.
  await page.getByText('No way at once reaches Anna now', { exact: false }).waitFor();
  // Nothing here is allowed to show messages: the refusal is told in words.
  await page.getByRole('button', { name: 'Tell me here' }).click();
  await page.getByText(/was not allowed to show messages|did not take this browser/).waitFor();
  await passes();
  const port = new URL(program.address).port;
  await page.goto(`http://keg-box.test:${port}/settings/telling`);
  await page.getByText('browsers take messages only from pages that come over https', { exact: false }).waitFor();
});

/** A browser's push service, which is elsewhere: it gives what a real one gives. Keys are those of RFC 8291, appendix A. */
const PUSH_SERVICE = `
  const subscription = {
    endpoint: 'https://push.example/1',
    unsubscribe: async () => true,
    toJSON: () => ({
      endpoint: 'https://push.example/1',
      expirationTime: null,
      keys: {
        p256dh: 'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
        auth: 'BTBZMqHH6r4Tts7J_aSIgg',
      },
    }),
  };
  Notification.requestPermission = async () => 'granted';
  Object.defineProperty(Notification, 'permission', { get: () => 'default' });
  PushManager.prototype.subscribe = async ({ applicationServerKey }) => {
    globalThis.subscribedWith = applicationServerKey;
    return subscription;
  };
  PushManager.prototype.getSubscription = async () => subscription;
`;

test('a browser is told, and told no more, with the worker that shows messages really there', async () => {
  const push = { kind: 'web-push', channelId: 'push', name: 'Browsers', contact: 'mailto:keg@club.example' };
  await send(program, 'PUT', 'api/v1/channels', { channels: [push] });
  await send(program, 'PUT', 'api/v1/people/anna', { name: 'Anna' });
  const browsers = async (): Promise<readonly { service: string }[]> => {
    const { people } = await getJson<{ people: { browsers: { service: string }[] }[] }>(program, 'api/v1/people');
    return people[0]?.browsers ?? [];
  };
  await page.addInitScript(PUSH_SERVICE);
  await page.goto(`${program.address}settings/telling`);
  await page.getByRole('button', { name: 'Tell me here' }).click();
  await page.getByText('This browser tells Anna.', { exact: false }).waitFor();
  await page.getByText('At once by Browsers.').waitFor();
  expect(await browsers()).toMatchObject([{ service: 'push.example' }]);
  const { publicKey } = await getJson<{ publicKey: string }>(program, 'api/v1/push-key');
  expect(await page.evaluate('globalThis.subscribedWith')).toBe(publicKey);
  const worker = await page.evaluate(async () => (await navigator.serviceWorker.ready).active?.scriptURL);
  expect(worker).toBe(`${program.address}sw.js`);
  await page.reload();
  await page.getByRole('button', { name: 'Tell me here no more' }).click();
  await page.getByRole('button', { name: 'Tell me here', exact: true }).waitFor();
  expect(await browsers()).toEqual([]);
  expect(trouble).toEqual([]);
});

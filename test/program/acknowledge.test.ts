/** Aim: the page behind a link in a message works in a real browser that runs no script and is not logged in. */
import { afterAll, beforeAll, expect, test } from 'vitest';
import { newEpisode } from '../../src/alerts/episode.ts';
import { aPerson } from '../support/delivery-world.ts';
import { setPassphrases } from '../support/door.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { PHONE, startBrowser, watchTrouble } from '../web/support/browser.ts';

let http: HttpWorld;
let browser: Awaited<ReturnType<typeof startBrowser>>;
beforeAll(async () => {
  http = await anHttpWorld(undefined, { names: ['keg-box.test'] });
  await setPassphrases(http);
  browser = await startBrowser(['--host-resolver-rules=MAP keg-box.test 127.0.0.1']);
});
afterAll(async () => {
  await browser.close();
  await http.server.close();
});

test('looking, then the button: acknowledged, and its policy was kept', async () => {
  const { world } = http;
  world.outbox.book().people.put('anna', aPerson());
  const atMs = world.clock.nowMs();
  const words = { measured: null, limit: null, unit: null, message: 'Amber is warm.', advice: 'Close the door.' };
  const state = { kind: 'active', beganAtMs: atMs, lastSampleMs: atMs } as const;
  const alert = newEpisode({ name: 'fridge-warm', level: 'attention' }, 'one', 'one', state, words);
  world.journal.saveEpisode(alert);
  const { pathname } = new URL(world.services.acknowledgeLinks.linkFor(alert.id, 'anna') ?? '');
  const { port } = new URL(await http.server.listen({ host: '127.0.0.1', port: 0 }));
  const context = await browser.newContext({ viewport: PHONE, javaScriptEnabled: false });
  const page = await context.newPage();
  const trouble = watchTrouble(page);
  // A plain name: there the browser has no encryption to excuse anything with.
  await page.goto(`http://keg-box.test:${port}${pathname}`);
  await page.getByText('Amber is warm.').waitFor();
  const button = page.getByRole('button', { name: 'Acknowledge' });
  expect((await button.boundingBox())?.height).toBeGreaterThanOrEqual(48);
  expect(world.services.desk.get(alert.id)?.acknowledgedAtMs).toBeNull();
  await button.click();
  await page.getByRole('heading', { name: 'Acknowledged' }).waitFor();
  expect(world.services.desk.get(alert.id)?.acknowledgedAtMs).toBe(atMs);
  expect(trouble.filter((line) => !/favicon/.test(line))).toEqual([]);
  expect(http.mistakes).toEqual([]);
  await context.close();
});

/** Aim: HTTPS from files, as a browser and a command meet it. */
import { writeFile } from 'node:fs/promises';
import { request } from 'node:https';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { TEST_CERTIFICATE, TEST_KEY } from '../support/test-certificate.ts';
import { type RunningProgram, runToEnd, startProgram, temporaryFolder } from './support/running-program.ts';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
let program: RunningProgram | null;
beforeEach(async () => {
  folder = await temporaryFolder();
  program = null;
  await writeFile(join(folder.path, 'cert.pem'), TEST_CERTIFICATE);
  await writeFile(join(folder.path, 'key.pem'), TEST_KEY);
});
afterEach(async () => {
  await program?.end('SIGKILL');
  await folder.remove();
});
const files = () => ({
  QUIETKEG_HTTP_TLS_CERT: join(folder.path, 'cert.pem'),
  QUIETKEG_HTTP_TLS_KEY: join(folder.path, 'key.pem'),
});

function send(method: string, path: string, headers: Record<string, string>, body = '') {
  const port = new URL(program?.address ?? '').port;
  return new Promise<{ status: number; cookie: string; policy: string }>((resolve, reject) => {
    const asked = request({ host: 'localhost', port, path, method, headers, ca: TEST_CERTIFICATE }, (answer) => {
      answer.resume();
      const cookie = answer.headers['set-cookie']?.[0] ?? '';
      const policy = String(answer.headers['content-security-policy']);
      answer.on('end', () => resolve({ status: answer.statusCode ?? 0, cookie, policy }));
    });
    asked.on('error', reject);
    asked.end(body);
  });
}

test('the dashboard, its cookie and its socket over HTTPS', async () => {
  program = await startProgram({ folder: folder.path, environment: files() });
  expect(program.address).toMatch(/^https:/);
  const port = new URL(program.address).port;
  expect((await send('GET', '/', { accept: 'text/html' })).policy).toContain(`wss://localhost:${port}`);
  const json = { 'content-type': 'application/json', origin: `https://localhost:${port}` };
  const body = JSON.stringify({ passphrase: 'moss lantern oboe' });
  // A page that came by plain HTTP is another page, even under the same name and port.
  const plain = { ...json, origin: `http://localhost:${port}` };
  expect((await send('POST', '/api/v1/access/claim', plain, body)).status).toBe(403);
  const { status, cookie } = await send('POST', '/api/v1/access/claim', json, body);
  expect(status).toBe(200);
  expect(cookie).toMatch(/^__Host-quietkeg-\d+=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict; Secure$/);
  const kept = cookie.split(';', 1)[0] ?? '';
  const open = (withCookie: string) =>
    new Promise<number>((resolve) => {
      const options = { ca: TEST_CERTIFICATE, headers: { cookie: withCookie } };
      const socket = new WebSocket(`wss://localhost:${port}/api/v1/live`, options);
      socket.once('upgrade', () => {
        resolve(101);
        socket.terminate();
      });
      socket.once('unexpected-response', (_request, answer) => resolve(answer.statusCode ?? 0));
      socket.on('error', () => undefined);
    });
  expect(await open(kept)).toBe(101);
  expect(await open(kept.replace('__Host-', ''))).toBe(401);
});

test.each([
  [{ QUIETKEG_HTTP_TLS_KEY: '' }, /QUIETKEG_HTTP_TLS_KEY: /],
  [{ QUIETKEG_HTTP_TLS_CERT: '/no/such.pem' }, /http\.tlsCert: \/no\/such\.pem cannot be read \(ENOENT\)/],
  [{ QUIETKEG_MQTT_TLS_PORT: '0' }, /mqtt\.tlsPort: needs mqtt\.tlsCert and mqtt\.tlsKey/],
] as const)('%j is told in a line, exit 78', async (environment, line) => {
  const { code, err } = await runToEnd({ folder: folder.path, environment: { ...files(), ...environment } });
  expect(err).toMatch(line);
  expect(code).toBe(78);
});

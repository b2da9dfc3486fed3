/**
 * Aim: a secret that was entered is never told again.
 * Method: secrets that look like nothing else are entered wherever one can be; then every answer there is, the log, and what is
 * kept on the disk of who may come in are searched for them.
 */
import { expect, test } from 'vitest';
import { ask, cookieOf, LOCAL_SECRETS, PASSPHRASES, setPassphrases } from '../../support/door.ts';
import { anHttpWorld, LOCAL_KEY } from '../../support/http-world.ts';

test('no answer, no line of the log and no file tells a secret', { timeout: 60_000 }, async () => {
  const http = await anHttpWorld(undefined, { claimToken: 'cana-ryxx-toke-nxxx-abcd' });
  await setPassphrases(http);
  const secrets = new Set<string>([
    ...Object.values(PASSPHRASES),
    LOCAL_KEY,
    'cana-ryxx-toke-nxxx-abcd',
    ...LOCAL_SECRETS,
  ]);
  const outputs: string[] = [];
  const passphrase = PASSPHRASES.owner;
  const entered = await ask(http, 'POST', '/api/v1/session', { body: { passphrase } });
  outputs.push(entered.body);
  const cookie = cookieOf(entered);
  secrets.add(cookie?.split('=')[1] ?? '');
  const send = async (method: 'GET' | 'PUT' | 'POST' | 'DELETE', url: string, body?: unknown) => {
    const answer = await ask(http, method, url, { cookie, body });
    outputs.push(`${answer.body} ${JSON.stringify(answer.headers)}`);
    return answer;
  };
  const [mailPassword = '', header = ''] = LOCAL_SECRETS;
  http.world.fill();
  const mail = {
    kind: 'email',
    channelId: 'mail',
    name: 'Mail',
    host: 'mail.example',
    from: 'keg@mail.example',
    user: 'keg',
  };
  const relay = { kind: 'relay', channelId: 'relay', name: 'Relay', url: 'https://relay.example/x', body: '{}' };
  const set = await send('PUT', '/api/v1/channels', {
    channels: [
      { ...mail, password: mailPassword },
      { ...relay, headers: [{ name: 'Authorization', value: header }] },
    ],
  });
  expect(set.statusCode).toBe(200);
  // Wrong in every way: what is refused must not be repeated.
  await send('POST', '/api/v1/session', { account: 'owner', passphrase: `${passphrase}?` });
  await send('POST', '/api/v1/session', { account: passphrase });
  await send('POST', '/api/v1/access/claim', { token: 'cana-ryxx-toke-nxxx-abcd', passphrase });
  await send('PUT', '/api/v1/passphrases/viewer', { passphrase, yours: 'x' });
  await send('PUT', '/api/v1/passphrases/viewer', { passphrase: 5, yours: passphrase });
  const device = (await ask(http, 'POST', '/api/v1/devices', { cookie, body: { name: 'Door' } })).json();
  const program = (await ask(http, 'POST', '/api/v1/programs', { cookie, body: { name: 'P', role: 'viewer' } })).json();
  secrets.add(String(device.path).split('#')[1] ?? '');
  secrets.add(program.key);
  for (const { method, url } of http.routes) {
    if (method !== 'GET') continue;
    const path = url
      .replace(':kegId', 'one')
      .replace(':batchId', http.world.services.register.batches()[0]?.batchId ?? 'b');
    await send('GET', path);
    await send('GET', `${path}?format=csv`);
  }
  outputs.push(...http.world.log.lines, ...http.mistakes);
  for (const table of ['passphrase', 'session', 'invitation', 'mqtt_user'])
    outputs.push(JSON.stringify(http.world.database.prepare(`select * from ${table}`).all()));
  expect(outputs.length).toBeGreaterThan(60);
  expect(secrets.size).toBeGreaterThan(8);
  for (const secret of secrets) {
    expect(secret.length).toBeGreaterThan(10);
    const telling = outputs.filter((text) => text.replace(/"set-cookie":"[^"]*"/g, '').includes(secret));
    expect(telling.map((text) => text.slice(0, 200))).toEqual([]);
  }
  expect(outputs.join().includes('mail.example')).toBe(true);
  await http.server.close();
});

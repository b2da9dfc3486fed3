/**
 * Aim: without a way out everything works, nothing tries to leave, and before it is set up nothing can be reached from
 * another machine. Method: two network namespaces with a cable between them. All that the service's own one would send
 * elsewhere goes to the cable, which counts it; the other end of the cable tries every port.
 */
import { execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { eventually } from './support/outside.ts';
import { temporaryFolder } from './support/running-program.ts';

const run = promisify(execFile);
const ROOT = join(import.meta.dirname, '../..');
const HERE = `quietkeg-a${process.pid}`;
/** The demo computes twelve days of its past first. */
const START_MS_MAX = 90_000;
const THERE = `quietkeg-b${process.pid}`;
const ip = (...args: string[]) => run('ip', args);
const inside = (where: string, ...args: string[]) => run('ip', ['netns', 'exec', where, ...args]);
const node = (script: string) => [process.execPath, '-e', script] as const;

let folder: Awaited<ReturnType<typeof temporaryFolder>>;

beforeEach(async () => {
  folder = await temporaryFolder();
  for (const where of [HERE, THERE]) await ip('netns', 'add', where);
  await ip('-n', HERE, 'link', 'add', 'cable', 'type', 'veth', 'peer', 'name', 'cable', 'netns', THERE);
  for (const [where, address] of [
    [HERE, '192.0.2.1/24'],
    [THERE, '192.0.2.2/24'],
  ] as const) {
    // What the system sends by itself to find neighbours would be counted too.
    await inside(where, 'sysctl', '-qw', 'net.ipv6.conf.all.disable_ipv6=1', 'net.ipv6.conf.default.disable_ipv6=1');
    await ip('-n', where, 'link', 'set', 'lo', 'up');
    await ip('-n', where, 'address', 'add', address, 'dev', 'cable');
    await ip('-n', where, 'link', 'set', 'cable', 'up');
  }
  // Everything that is meant for elsewhere takes the cable.
  await ip('-n', HERE, 'route', 'add', 'default', 'via', '192.0.2.2');
});
afterEach(async () => {
  for (const where of [HERE, THERE]) await ip('netns', 'delete', where).catch(() => undefined);
  await folder.remove();
});

async function packetsSent(): Promise<number> {
  const { stdout } = await ip('-n', HERE, '-json', '-stats', 'link', 'show', 'cable');
  return JSON.parse(stdout)[0].stats64.tx.packets;
}

/** Tries every port of an address and prints those that answer. */
const SCAN = `const net = require('node:net'); const open = []; let next = 1, busy = 0;
  const more = () => { while (busy < 400 && next < 65536) { const port = next++; busy += 1;
    const socket = net.connect({ host: process.argv[1], port, timeout: 2000 });
    const end = (isOpen) => { if (isOpen) open.push(port); socket.destroy(); };
    socket.on('connect', () => end(true)); socket.on('error', () => end(false)); socket.on('timeout', () => end(false));
    socket.on('close', () => { busy -= 1; if (next >= 65536 && busy === 0) console.log(JSON.stringify(open)); else more(); }); } };
  more();`;

test('in a network of its own the demo works, sends nothing out, and no port answers to others', async () => {
  const before = await packetsSent();
  const ports = { QUIETKEG_HTTP_PORT: '8420', QUIETKEG_MQTT_PORT: '1883' };
  const environment = { PATH: process.env.PATH, HOME: folder.path, QUIETKEG_DATA: folder.path, ...ports };
  const program = spawn('ip', ['netns', 'exec', HERE, process.execPath, 'src/main.ts', 'serve', '--demo'], {
    cwd: ROOT,
    env: environment,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  try {
    let written = '';
    program.stdout.on('data', (bytes: Buffer) => {
      written += bytes.toString();
    });
    await eventually(
      () => Promise.resolve(written),
      (text) => text.includes('Ctrl-C'),
      START_MS_MAX,
    );
    const ask = (path: string) =>
      inside(HERE, ...node(`fetch('http://127.0.0.1:8420${path}').then((r) => r.text()).then(console.log)`)).then(
        ({ stdout }) => stdout,
      );
    await eventually(
      () => ask('/api/v1/kegs/left/state'),
      (text) => /"equilibriumVolumes":\d/.test(text),
    );
    expect(await ask('/health/ready')).toMatch(/"status":"ready"/);
    expect(await ask('/')).toMatch(/<!doctype html>/i);
    // A quarter of a minute of its life, the canary and the first looks at everything included.
    await new Promise((resolve) => setTimeout(resolve, 15_000));
    expect((await packetsSent()) - before).toBe(0);
    // The count can rise: somebody who does look for a name is seen.
    await inside(
      HERE,
      ...node(`require('node:dgram').createSocket('udp4').send('x', 53, '198.51.100.1', () => process.exit())`),
    );
    expect((await packetsSent()) - before).toBeGreaterThan(0);

    const scanned = (where: string, address: string) =>
      inside(where, ...node(SCAN), address).then(({ stdout }) => JSON.parse(stdout));
    expect(await scanned(THERE, '192.0.2.1')).toEqual([]);
    // The scan can find something: from within, both ports answer.
    expect(await scanned(HERE, '127.0.0.1')).toEqual(expect.arrayContaining([1883, 8420]));
  } finally {
    const closed = once(program, 'close');
    program.kill('SIGTERM');
    await closed;
  }
}, 240_000);

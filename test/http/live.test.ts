import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { WebSocket } from 'ws';
import { LiveFrame } from '../../src/contract/index.ts';
import { LiveHub } from '../../src/http/live-hub.ts';
import { MINUTE, SECOND } from '../support/builders.ts';
import { anHttpWorld, type HttpWorld, LOCAL_HOLDER, LOCAL_UPGRADE } from '../support/http-world.ts';
import { until } from '../support/until.ts';
import { World } from '../support/world.ts';

describe('the live socket', () => {
  let http: HttpWorld;
  beforeEach(async () => {
    http = await anHttpWorld();
    await http.server.ready();
  });
  afterEach(() => http.server.close());

  async function connect() {
    const frames: LiveFrame[] = [];
    const socket = await http.server.injectWS('/api/v1/live', LOCAL_UPGRADE, {
      onInit: (ws) => ws.on('message', (bytes) => frames.push(LiveFrame.parse(JSON.parse(String(bytes))))),
    });
    const frame = (index: number) => until(`frame ${index} comes`, () => frames[index]);
    await frame(1);
    return { socket, frames, frame };
  }

  test('says hello, then everything, then each change with the next revision', async () => {
    http.world.fill();
    await http.world.minutes(12, 1.9, 70);
    const { frame } = await connect();
    const snapshot = await frame(1);
    expect(await frame(0)).toEqual({ type: 'hello', protocol: 1 });
    if (snapshot.type !== 'snapshot') throw new Error('no snapshot');
    expect(snapshot.kegs.map(({ kegId }) => kegId)).toEqual(['one']);
    expect(snapshot.alerts.map(({ rule, state }) => [rule, state])).toEqual([['cold-enough', 'active']]);
    http.world.clock.advance(SECOND);
    await http.world.beer(9);
    expect(await frame(2)).toMatchObject({
      type: 'alert',
      revision: snapshot.revision + 1,
      episode: { state: 'ended' },
    });
    http.world.clock.advance(50);
    expect(await frame(3)).toMatchObject({
      type: 'keg',
      revision: snapshot.revision + 2,
      state: { beerTemperatureC: 9 },
    });
  });

  test('gives everything anew on request', async () => {
    const { socket, frames, frame } = await connect();
    socket.send('{"type":"snapshot"}');
    expect(await frame(2)).toMatchObject({ type: 'snapshot', revision: 0 });
    expect(frames).toHaveLength(3);
  });

  test.each(['', 'hello', '{}', '[]', '{"type":"keg"}', `{"type":"snapshot","pad":"${'x'.repeat(2000)}"}`])(
    'tells what it understands instead of %j',
    async (text) => {
      const { socket, frame } = await connect();
      socket.send(text);
      expect(await frame(2)).toEqual({ type: 'problem', detail: expect.stringMatching(/\{"type":"snapshot"\}/) });
      socket.send('{"type":"snapshot"}');
      expect(await frame(3)).toMatchObject({ type: 'snapshot' });
    },
  );

  test('tells when a keg is gone', async () => {
    http.world.fill();
    const { frame } = await connect();
    await http.ask('DELETE', '/kegs/one');
    expect(await frame(2)).toMatchObject({ type: 'keg-gone', kegId: 'one' });
  });

  test('forgets who has left', async () => {
    const { socket } = await connect();
    expect(http.hub.clients()).toBe(1);
    socket.terminate();
    await until('it is forgotten', () => http.hub.clients() === 0);
  });

  test('closes with the service', async () => {
    const { socket } = await connect();
    const closed = new Promise<number>((resolve) => socket.once('close', resolve));
    http.hub.close();
    expect(await closed).toBe(1001);
    expect(http.hub.clients()).toBe(0);
  });

  test('is for sockets: an ordinary request is told so', async () => {
    const response = await http.ask('GET', '/live');
    expect(response.statusCode).toBe(404);
  });
});

/** A socket whose buffer is as full as the test says. */
class StuckSocket {
  bufferedAmount = 0;
  terminated = false;
  readonly sent: LiveFrame[] = [];
  readonly #listeners = new Map<string, (argument: never) => void>();

  on(event: string, listener: (argument: never) => void): void {
    this.#listeners.set(event, listener);
  }

  emit(event: string, argument: unknown): void {
    this.#listeners.get(event)?.(argument as never);
  }

  send(text: string): void {
    this.sent.push(LiveFrame.parse(JSON.parse(text)));
  }

  terminate(): void {
    this.terminated = true;
  }
}

describe('a slow page', () => {
  async function aSlowPage() {
    const world = await World.make();
    world.fill('one');
    world.fill('two');
    const hub = new LiveHub(world.services);
    const socket = new StuckSocket();
    hub.accept(socket as unknown as WebSocket, LOCAL_HOLDER);
    const greeting = socket.sent.length;
    const since = () => socket.sent.slice(greeting);
    const hear = async (kegId: string, celsius: number) => {
      world.clock.advance(SECOND);
      await world.beer(celsius, kegId);
      world.clock.advance(50);
    };
    return { world, hub, socket, since, hear };
  }
  const shown = (frames: readonly LiveFrame[]) =>
    frames.flatMap((frame) => (frame.type === 'keg' ? `${frame.state.kegId} ${frame.state.beerTemperatureC}` : []));

  test('gets the newest of each keg once it has caught up, not all that was in between', async () => {
    const { hub, socket, since, hear } = await aSlowPage();
    await hear('one', 1);
    expect(shown(since())).toEqual(['one 1']);
    socket.bufferedAmount = 300 * 1024;
    for (let n = 2; n <= 100; n += 1) await hear('one', n % 30);
    await hear('two', 7);
    hub.flush();
    expect(shown(since())).toEqual(['one 1']);
    socket.bufferedAmount = 0;
    hub.flush();
    expect(shown(since())).toEqual(['one 1', 'one 10', 'two 7']);
    await hear('one', 8);
    expect(shown(since()).at(-1)).toBe('one 8');
    hub.flush();
    expect(shown(since())).toHaveLength(4);
  });

  test('holds up nobody else', async () => {
    const { world, hub, socket, hear } = await aSlowPage();
    const other = new StuckSocket();
    hub.accept(other as unknown as WebSocket, LOCAL_HOLDER);
    socket.bufferedAmount = 300 * 1024;
    await hear('one', 1);
    expect(shown(other.sent)).toEqual(['one 1']);
    expect(world.services.feed.state('one')?.beerTemperatureC).toBe(1);
  });

  test('that asks for everything gets it at once, and nothing older after it', async () => {
    const { hub, socket, since, hear } = await aSlowPage();
    socket.bufferedAmount = 300 * 1024;
    await hear('one', 1);
    socket.emit('message', Buffer.from('{"type":"snapshot"}'));
    socket.bufferedAmount = 0;
    hub.flush();
    expect(since().map(({ type }) => type)).toEqual(['snapshot']);
  });

  test('that is slow for a minute is let go; it comes back and gets everything', async () => {
    const { world, hub, socket, hear } = await aSlowPage();
    socket.bufferedAmount = 300 * 1024;
    await hear('one', 1);
    world.clock.advance(MINUTE - SECOND);
    hub.flush();
    expect(socket.terminated).toBe(false);
    world.clock.advance(2 * SECOND);
    hub.flush();
    expect(socket.terminated).toBe(true);
  });

  test('whose connection breaks is let go', async () => {
    const { hub, socket } = await aSlowPage();
    socket.emit('error', new Error('reset'));
    expect(socket.terminated).toBe(true);
    socket.emit('close', undefined);
    expect(hub.clients()).toBe(0);
  });
});

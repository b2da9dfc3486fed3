/** Aim: every push shows something, and a tap leads to the right page. The worker runs with a browser's parts in memory. */
import { readFileSync } from 'node:fs';
import { runInNewContext } from 'node:vm';
import { describe, expect, test } from 'vitest';

interface Shown {
  readonly title: string;
  readonly options: {
    readonly body: string;
    readonly tag: string;
    readonly data: string;
    readonly requireInteraction: boolean;
  };
}
type Listener = (event: object) => void;

function aWorker(openPages = 0) {
  const listeners = new Map<string, Listener>();
  const shown: Shown[] = [];
  const done: string[] = [];
  const page = {
    focus: async () => void done.push('focus'),
    navigate: async (path: string) => {
      done.push(`navigate ${path}`);
      throw new TypeError('not controlled by this worker');
    },
  };
  const self = {
    addEventListener: (name: string, listener: Listener) => listeners.set(name, listener),
    registration: {
      showNotification: async (title: string, options: Shown['options']) => void shown.push({ title, options }),
    },
    clients: {
      matchAll: async () => Array.from({ length: openPages }, () => page),
      openWindow: async (path: string) => void done.push(`open ${path}`),
    },
  };
  runInNewContext(readFileSync('web/public/sw.js', 'utf8'), { self, URL });
  const happen = async (name: string, event: object) => {
    const waited: Promise<unknown>[] = [];
    listeners.get(name)?.({ ...event, waitUntil: (work: Promise<unknown>) => waited.push(work) });
    expect(waited).toHaveLength(1);
    await Promise.all(waited);
  };
  return { shown, done, happen };
}
const data = (text: string) => ({ data: { json: () => JSON.parse(text) } });

describe('a push', () => {
  test('is shown with its words, and a tag by which a repeated one replaces it', async () => {
    const { shown, happen } = aWorker();
    const message = {
      title: 'Leak',
      body: 'Close the gas.',
      tag: 'm1',
      level: 'urgent',
      link: 'http://keg.example/kegs/one',
    };
    await happen('push', data(JSON.stringify(message)));
    expect(shown).toEqual([
      {
        title: 'Leak',
        options: { body: 'Close the gas.', tag: 'm1', icon: '/icon.svg', data: '/kegs/one', requireInteraction: true },
      },
    ]);
  });

  test('of something to acknowledge has a second way, to our own page for it', async () => {
    const { shown, done, happen } = aWorker();
    const acknowledgeLink = 'https://keg.example/acknowledge/a.b';
    await happen('push', data(JSON.stringify({ link: 'https://keg.example/kegs/one', acknowledgeLink })));
    expect(shown).toMatchObject([
      { options: { data: '/kegs/one', actions: [{ action: '/acknowledge/a.b', title: 'Acknowledge …' }] } },
    ]);
    const notification = { data: '/kegs/one', close: () => {} };
    await happen('notificationclick', { notification, action: '/acknowledge/a.b' });
    expect(done).toEqual(['open /acknowledge/a.b']);
  });

  test.each([
    ['nothing', { data: null }],
    ['no JSON', data('{')],
    ['null', data('null')],
    ['no link', data('{"title":"Quietkeg"}')],
  ])('that holds %s says to look', async (_what, event) => {
    const { shown, happen } = aWorker();
    await happen('push', event);
    expect(shown).toMatchObject([{ title: 'Quietkeg', options: { body: 'Look at your kegs.', data: '/alerts' } }]);
  });
});

describe('a tap', () => {
  const notification = { data: '/kegs/one', close: () => {} };

  test('opens the page, or brings the one that is open to the front', async () => {
    const none = aWorker();
    await none.happen('notificationclick', { notification });
    expect(none.done).toEqual(['open /kegs/one']);
    const one = aWorker(1);
    await one.happen('notificationclick', { notification });
    expect(one.done).toEqual(['focus', 'navigate /kegs/one']);
  });
});

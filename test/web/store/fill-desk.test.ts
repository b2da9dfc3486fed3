/**
 * Aim: taps are neither lost nor counted twice. Method: a desk before a service that is as honest as the real one about ids,
 * over a line that loses requests and answers as a seed says; pages are closed and opened meanwhile.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Fill } from '../../../src/contract/fill.ts';
import type { Answer, Method } from '../../../web/store/api.ts';
import { FillDesk } from '../../../web/store/fill-desk.ts';
import { fillOf, type KeptFills } from '../../../web/store/fill-queue.ts';

type Line = 'good' | 'request-lost' | 'answer-lost' | 'busy';

/** Keeps fills as the service does: one id is one bottle, and what was taken back stays away. */
class Service {
  readonly bottles = new Map<
    string,
    { bottleId: string; number: number; sizeL: number; note: string; filledAt: string }
  >();
  readonly removed = new Set<string>();
  fillId: string | null = null;
  endedAt: string | null = null;

  answer(method: Method, path: string, body: unknown): Answer<unknown> {
    const content = Object(body);
    const [, , , , bottleId = ''] = path.split('/');
    if (method === 'GET') return { ok: true, body: path.startsWith('/fills?') ? { fills: this.#open() } : this.fill() };
    if (method === 'POST') {
      if (this.fillId !== null && this.fillId !== content.fillId) return refusal(409, 'fill-open');
      this.fillId = content.fillId;
      return { ok: true, body: this.fill() };
    }
    if (method === 'PATCH') {
      this.endedAt = content.endedAt;
      return { ok: true, body: this.fill() };
    }
    if (method === 'DELETE') {
      if (!this.bottles.has(bottleId) && !this.removed.has(bottleId)) return refusal(404, 'bottle-unknown');
      this.bottles.delete(bottleId);
      this.removed.add(bottleId);
      return { ok: true, body: null };
    }
    if (this.removed.has(bottleId)) return refusal(409, 'bottle-removed');
    const number =
      this.bottles.get(bottleId)?.number ?? Math.max(0, ...[...this.bottles.values()].map((one) => one.number)) + 1;
    const bottle = { bottleId, number, ...content };
    this.bottles.set(bottleId, bottle);
    return { ok: true, body: bottle };
  }

  #open() {
    return this.fillId === null || this.endedAt !== null ? [] : [this.fill()];
  }

  fill(): Fill {
    const bottles = [...this.bottles.values()].toSorted((a, b) => a.number - b.number);
    return {
      fillId: this.fillId,
      kegId: 'one',
      startedAt: '',
      endedAt: this.endedAt,
      planned: [],
      lostL: 0,
      beerAtStartL: 18,
      bottles,
    } as unknown as Fill;
  }
}

const refusal = (status: number, code: string): Answer<never> => ({
  ok: false,
  trouble: { detail: code, errors: [], status, type: `urn:quietkeg:problem:${code}` },
});
const UNREACHED: Answer<never> = { ok: false, trouble: { detail: 'nobody answers', errors: [], unreached: true } };

/** A device with one storage, whose pages come and go. */
class Device {
  readonly service = new Service();
  readonly waiting: (() => void)[] = [];
  stored: string | null = null;
  line: Line[] = [];
  /** Turns that requests and answers take, one after the other. */
  delays: number[] = [];
  /** Methods whose answers take six turns. */
  slowAnswers: Method[] = [];
  #ids = 0;
  storage: 'good' | 'full' = 'good';

  open(): FillDesk {
    return new FillDesk({
      ask: async <T>(method: Method, path: string, body?: unknown): Promise<Answer<T>> => {
        const fate = this.line.shift() ?? 'good';
        await this.onTheWay();
        if (fate === 'request-lost') return UNREACHED;
        if (fate === 'busy') return refusal(503, 'not-ready');
        const answer = structuredClone(this.service.answer(method, path, body));
        await this.onTheWay(this.slowAnswers.includes(method) ? 6 : undefined);
        return fate === 'answer-lost' ? UNREACHED : (answer as Answer<T>);
      },
      read: () => this.stored,
      write: (text) => {
        if (this.storage === 'full') throw new Error('full');
        this.stored = text;
      },
      later: (_delayMs, run) => {
        this.waiting.push(run);
        return () => this.waiting.splice(this.waiting.indexOf(run) >>> 0, 1);
      },
      newId: () => this.newId(),
    });
  }

  async onTheWay(turns = this.delays.shift() ?? 0): Promise<void> {
    for (let left = turns; left >= 0; left -= 1) await new Promise((done) => setImmediate(done));
  }

  newId(): string {
    this.#ids += 1;
    return `id${this.#ids}`;
  }

  kept(): KeptFills {
    return JSON.parse(this.stored ?? '{}');
  }
}

const settled = async (desk: FillDesk): Promise<void> => {
  for (let turn = 0; turn < 500 && desk.kept.value.ops.length > 0; turn += 1) {
    await desk.flush();
    await new Promise((done) => setImmediate(done));
  }
};

const start = (desk: FillDesk, fillId = 'ours') =>
  desk.put({ kind: 'start', fillId, kegId: 'one', startedAt: '', planned: [] });
const bottle = (desk: FillDesk, bottleId: string, note: 'clean' | 'foamy' = 'clean', fillId = 'ours') =>
  desk.put({ kind: 'bottle', fillId, bottleId, sizeL: 0.5, note, filledAt: '2026-06-01T12:00:00Z' });
const shown = (desk: FillDesk) => fillOf(desk.kept.value, 'one')?.bottles.map(({ bottleId }) => bottleId) ?? [];

const act = fc.oneof(
  { weight: 6, arbitrary: fc.constant('tap' as const) },
  { weight: 2, arbitrary: fc.constantFrom('undo' as const, 'note' as const) },
  { weight: 6, arbitrary: fc.constantFrom('wait' as const, 'wait' as const, 'follow' as const) },
  { weight: 1, arbitrary: fc.constantFrom('reload' as const, 'other-page' as const) },
);
const line = fc.array(fc.constantFrom<Line>('good', 'good', 'request-lost', 'answer-lost', 'busy'), { maxLength: 60 });
const aWhile = async (): Promise<void> => {
  for (let turn = 0; turn < 3; turn += 1) await new Promise((done) => setImmediate(done));
};
const delays = fc.array(fc.integer({ min: 0, max: 4 }), { maxLength: 120 });

test('whatever the line and the pages do, the service ends with what was tapped, in its order', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(act, { minLength: 1, maxLength: 40 }), line, delays, async (acts, fates, turns) => {
      const device = new Device();
      device.line = [...fates];
      device.delays = [...turns];
      let desk = device.open();
      start(desk);
      const wanted: string[] = [];
      for (const one of acts) {
        const last = wanted.at(-1);
        if (one === 'tap') {
          wanted.push(device.newId());
          bottle(desk, wanted.at(-1) ?? '');
        }
        if (one === 'undo' && last !== undefined) {
          desk.put({ kind: 'remove', fillId: 'ours', bottleId: last });
          wanted.pop();
        }
        if (one === 'note' && last !== undefined) bottle(desk, last, 'foamy');
        if (one === 'wait') await aWhile();
        if (one === 'follow') void desk.follow('one');
        if (one === 'reload') desk = device.open();
        // A second page of the device sends what it finds as well.
        if (one === 'other-page') void device.open().flush();
        // What is shown is what was tapped, at every moment.
        desk.reload();
        expect(shown(desk)).toEqual(wanted);
      }
      await settled(desk);
      await desk.follow('one');
      expect(shown(desk)).toEqual(wanted);
      expect([...device.service.bottles.keys()]).toEqual(wanted);
      expect(device.kept()).toMatchObject({ ops: [], refused: [] });
    }),
    { numRuns: 300 },
  );
});

/** Long enough for a request and its answer. */
const later = async (): Promise<void> => {
  for (let turn = 0; turn < 8; turn += 1) await new Promise((done) => setImmediate(done));
};

describe('a desk', () => {
  test('waits longer and longer, and says why', async () => {
    const device = new Device();
    device.line = ['busy', 'request-lost'];
    const desk = device.open();
    start(desk);
    await later();
    expect(desk.trouble.value?.detail).toBe('not-ready');
    device.waiting.shift()?.();
    await later();
    expect(desk.trouble.value?.unreached).toBe(true);
    device.waiting.shift()?.();
    await settled(desk);
    expect(desk.trouble.value).toBeNull();
    expect(device.service.fillId).toBe('ours');
  });

  test('shows what the service will never take, and goes on with the rest', async () => {
    const device = new Device();
    const desk = device.open();
    start(desk);
    await settled(desk);
    const answer = device.service.answer.bind(device.service);
    device.service.answer = (method, path, body) =>
      path.endsWith('/bad') ? refusal(400, 'body-invalid') : answer(method, path, body);
    bottle(desk, 'bad');
    bottle(desk, 'good');
    await settled(desk);
    expect(desk.kept.value.refused).toMatchObject([{ detail: 'body-invalid', op: { bottleId: 'bad' } }]);
    expect([...device.service.bottles.keys()]).toEqual(['good']);
    desk.forgetRefused();
    expect(device.kept().refused).toEqual([]);
  });

  test('goes on without a storage, as long as its page is open', async () => {
    const device = new Device();
    device.storage = 'full';
    device.line = ['request-lost'];
    const desk = device.open();
    start(desk);
    bottle(desk, 'b1');
    bottle(desk, 'b2');
    expect(shown(desk)).toEqual(['b1', 'b2']);
    expect(desk.durable.value).toBe(false);
    await settled(desk);
    expect([...device.service.bottles.keys()]).toEqual(['b1', 'b2']);
  });
});

describe('pages and answers out of order', () => {
  test('an answer that is older than the taps does not hide them', async () => {
    const device = new Device();
    const desk = device.open();
    start(desk);
    bottle(desk, 'b1');
    await settled(desk);
    device.slowAnswers = ['GET'];
    const followed = desk.follow('one');
    await new Promise((done) => setImmediate(done));
    bottle(desk, 'b2');
    await followed;
    expect([...device.service.bottles.keys()]).toEqual(['b1', 'b2']);
    expect(shown(desk)).toEqual(['b1', 'b2']);
  });

  test('what another page of the device took back meanwhile does not come back', async () => {
    const device = new Device();
    const [one, other] = [device.open(), device.open()];
    start(one);
    await settled(one);
    device.slowAnswers = ['PUT'];
    bottle(one, 'b1');
    other.reload();
    const flushed = other.flush();
    await later();
    one.reload();
    device.slowAnswers = [];
    one.put({ kind: 'remove', fillId: 'ours', bottleId: 'b1' });
    await settled(one);
    await flushed;
    await later();
    one.reload();
    other.reload();
    expect([shown(one), shown(other), [...device.service.bottles.keys()]]).toEqual([[], [], []]);
  });
});

describe('what a device keeps', () => {
  test('begins anew from a storage that cannot be read', () => {
    const device = new Device();
    device.stored = '{"ops":';
    expect(device.open().kept.value.ops).toEqual([]);
  });

  test('follows the bottles of others, and forgets what is over', async () => {
    const device = new Device();
    const desk = device.open();
    device.service.answer('POST', '/fills', { fillId: 'theirs' });
    device.service.answer('PUT', '/fills/theirs/bottles/x', { sizeL: 0.33, note: 'clean', filledAt: '' });
    await desk.follow('one');
    bottle(desk, 'mine', 'clean', 'theirs');
    await settled(desk);
    expect(shown(desk)).toEqual(['x', 'mine']);
    desk.put({ kind: 'end', fillId: 'theirs', endedAt: '2026-06-01T13:00:00Z' });
    expect(fillOf(desk.kept.value, 'one')?.endedAt).toBe('2026-06-01T13:00:00Z');
    await settled(desk);
    desk.tick('one', ['flush']);
    desk.note('theirs', { beerC: 1, kpaGauge: 70 });
    desk.forget('one');
    await desk.follow('one');
    expect(fillOf(desk.kept.value, 'one')).toBeNull();
    expect(device.kept()).toMatchObject({ told: {}, begins: {}, ticked: {} });
  });
});

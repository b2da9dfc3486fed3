import { describe, expect, test } from 'vitest';
import { Feed } from '../../src/app/feed.ts';
import type { KegState, LiveFrame } from '../../src/contract/index.ts';
import { SECOND } from '../support/builders.ts';
import { World } from '../support/world.ts';

async function aState(): Promise<KegState> {
  const world = await World.make();
  await world.beer(4);
  world.clock.advance(50);
  return world.state();
}

async function fed() {
  const feed = new Feed();
  const frames: [LiveFrame, string][] = [];
  const stop = feed.listen((frame, key) => frames.push([frame, key]));
  return { feed, frames, stop, state: await aState() };
}

describe('the feed', () => {
  test('counts every change by one revision', async () => {
    const { feed, frames, state } = await fed();
    expect(feed.keg(state)).toBe(true);
    expect(feed.keg({ ...state, beerTemperatureC: 5 })).toBe(true);
    feed.kegGone('one');
    expect(frames.map(([frame, key]) => [frame.type, 'revision' in frame && frame.revision, key])).toEqual([
      ['keg', 1, 'keg/one'],
      ['keg', 2, 'keg/one'],
      ['keg-gone', 3, 'keg/one'],
    ]);
    expect(feed.revision()).toBe(3);
  });

  test('does not speak where only time has passed, and still knows the newest', async () => {
    const { feed, frames, state } = await fed();
    feed.keg(state);
    const older = {
      ...state,
      at: '2026-06-01T13:00:00.000Z',
      inputs: state.inputs.map((input) => ({ ...input, ageMs: input.ageMs + SECOND })),
    };
    expect(feed.keg(older)).toBe(false);
    expect(frames).toHaveLength(1);
    expect(feed.state('one')).toBe(older);
  });

  test.each<[string, (state: KegState) => KegState]>([
    ['freshness', (state) => ({ ...state, inputs: state.inputs.map((input) => ({ ...input, state: 'stale' })) })],
    ['the time of a reading', (state) => ({ ...state, inputs: state.inputs.map((one) => ({ ...one, at: 'later' })) })],
    ['the verdict', (state) => ({ ...state, verdict: { ...state.verdict, headline: 'other' } })],
    ['the name', (state) => ({ ...state, name: 'other' })],
  ])('speaks when %s changes', async (_what, change) => {
    const { feed, frames, state } = await fed();
    feed.keg(state);
    expect(feed.keg(change(state))).toBe(true);
    expect(frames).toHaveLength(2);
  });

  test('a keg that was not there does not go', async () => {
    const { feed, frames } = await fed();
    feed.kegGone('one');
    expect(frames).toEqual([]);
  });

  test('a beat is no change', async () => {
    const { feed, frames } = await fed();
    feed.beat('2026-06-01T12:00:00.000Z');
    expect(frames).toEqual([[{ type: 'beat', revision: 0, at: '2026-06-01T12:00:00.000Z' }, 'beat']]);
  });

  test('who stops listening hears no more', async () => {
    const { feed, frames, stop, state } = await fed();
    stop();
    feed.keg(state);
    expect(frames).toEqual([]);
    expect(feed.states()).toEqual([state]);
  });
});

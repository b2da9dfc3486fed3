import { expect, test } from 'vitest';
import { randomIds } from '../../../src/adapters/clock/random-ids.ts';
import { systemClock } from '../../../src/adapters/clock/system-clock.ts';
import { Id } from '../../../src/contract/index.ts';

test('the machine’s clock tells the machine’s time', () => {
  const before = Date.now();
  const now = systemClock.nowMs();
  expect(now).toBeGreaterThanOrEqual(before);
  expect(now).toBeLessThanOrEqual(Date.now());
  const monotonic = systemClock.monotonicMs();
  expect(systemClock.monotonicMs()).toBeGreaterThanOrEqual(monotonic);
});

test('its timers run, once or again and again, until they are stopped', async () => {
  const ran: string[] = [];
  await new Promise<void>((resolve) => {
    const stopNever = systemClock.after(1, () => ran.push('never'));
    stopNever();
    stopNever();
    const stopEvery = systemClock.every(1, () => {
      ran.push('every');
      if (ran.filter((one) => one === 'every').length < 3) return;
      stopEvery();
      systemClock.after(1, resolve);
    });
  });
  expect(ran).toEqual(['every', 'every', 'every']);
});

test('ids are unlike each other and fit into addresses', () => {
  const ids = Array.from({ length: 100 }, randomIds);
  expect(new Set(ids).size).toBe(100);
  for (const id of ids) expect(Id.safeParse(id).success).toBe(true);
});

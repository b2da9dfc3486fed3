import { expect, test } from 'vitest';
import { FakeClock } from './fake-clock.ts';

test('timers run at their own time, the earliest first', () => {
  const clock = new FakeClock(1000);
  const ran: [string, number][] = [];
  clock.after(30, () => ran.push(['once', clock.nowMs()]));
  clock.every(20, () => ran.push(['every', clock.nowMs()]));
  clock.advance(50);
  expect(ran).toEqual([
    ['every', 1020],
    ['once', 1030],
    ['every', 1040],
  ]);
  expect(clock.nowMs()).toBe(1050);
});

test('a timer that was stopped does not run', () => {
  const clock = new FakeClock(0);
  let runs = 0;
  const stopOnce = clock.after(10, () => {
    runs += 1;
  });
  const stopEvery = clock.every(10, () => {
    runs += 1;
    stopEvery();
  });
  stopOnce();
  stopOnce();
  clock.advance(100);
  expect(runs).toBe(1);
  expect(clock.waiting()).toBe(0);
});

test('a timer that is set by another runs in the same advance', () => {
  const clock = new FakeClock(0);
  let ranAtMs: number | null = null;
  clock.after(10, () => {
    clock.after(5, () => {
      ranAtMs = clock.monotonicMs();
    });
  });
  clock.advance(20);
  expect(ranAtMs).toBe(15);
});

test('it refuses to go back, and only its wall time can step', () => {
  const clock = new FakeClock(1000);
  expect(() => clock.advance(-1)).toThrow(RangeError);
  expect(() => clock.advance(Number.NaN)).toThrow(RangeError);
  expect(() => clock.advanceTo(999)).toThrow(RangeError);
  clock.advance(10);
  clock.stepWall(-500);
  expect([clock.nowMs(), clock.monotonicMs()]).toEqual([510, 10]);
});

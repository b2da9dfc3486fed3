import { expect, test } from 'vitest';
import { MachineWatch } from '../../src/app/machine-watch.ts';
import { MINUTE, NOON } from '../support/builders.ts';
import { FakeClock } from '../support/fake-clock.ts';
import { World } from '../support/world.ts';

function watched() {
  const clock = new FakeClock(NOON);
  const left = { disk: 5e9 as number | null, memory: 1e9 as number | null, backup: null as string | null };
  const machine = {
    freeDiskBytes: () => left.disk,
    availableBytes: () => left.memory,
    residentBytes: () => 1e8,
    openFiles: () => 30,
  };
  const backup = { trouble: () => left.backup, newestMs: () => null };
  const watch = new MachineWatch({ clock, machine, backup });
  const troubles = () => {
    clock.advance(MINUTE);
    return watch.troubles();
  };
  return { left, troubles, watch };
}

test('little room or memory is told, with one figure, until there is clearly more', () => {
  const { left, troubles } = watched();
  expect(troubles()).toEqual({ disk: null, memory: null, backup: null });
  left.disk = 299e6;
  left.memory = 40e6;
  left.backup = 'the stick is gone';
  expect(troubles()).toEqual({ disk: '299 MB are left', memory: '40 MB are left', backup: 'the stick is gone' });
  left.disk = 250e6;
  left.memory = 79e6;
  expect(troubles()).toMatchObject({ disk: '299 MB are left', memory: '40 MB are left' });
  left.disk = 451e6;
  left.memory = 81e6;
  expect(troubles()).toMatchObject({ disk: null, memory: null });
  left.disk = null;
  left.memory = null;
  expect(troubles()).toMatchObject({ disk: null, memory: null });
});

test('trouble of the machine is an alert on the page, and ends', async () => {
  const { left, troubles } = watched();
  const world = await World.make({ troubles });
  world.go(4 * MINUTE);
  left.disk = 100e6;
  world.go(3 * MINUTE);
  const open = () => world.episodes().map(({ rule, state, message }) => `${rule} ${state}: ${message}`);
  expect(open()).toEqual(['service-trouble active: The disk of the data folder is almost full: 100 MB are left.']);
  left.disk = 5e9;
  world.go(4 * MINUTE);
  expect(open()).toEqual(['service-trouble ended: The disk of the data folder has room again.']);
});

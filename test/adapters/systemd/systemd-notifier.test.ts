/** Aim: systemd hears what it should, in its own program's words. That program is stood in for by one that writes down. */
import { chmodSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { systemdNotifier } from '../../../src/adapters/systemd/systemd-notifier.ts';
import { removeFolders, temporaryFolder } from '../../support/temporary-folder.ts';
import { until } from '../../support/until.ts';

removeFolders();

test('says nothing where systemd did not start us', () => {
  expect(systemdNotifier({}, 7, () => {})).toBeNull();
  expect(systemdNotifier({ NOTIFY_SOCKET: '' }, 7, () => {})).toBeNull();
});

test('gives a sign of life twice in the time that systemd waits, if it waits for us', () => {
  const every = (environment: object) =>
    systemdNotifier({ NOTIFY_SOCKET: '/x', ...environment }, 7, () => {})?.watchdogEveryMs;
  expect(every({})).toBeNull();
  expect(every({ WATCHDOG_USEC: '60000000' })).toBe(30_000);
  expect(every({ WATCHDOG_USEC: '60000000', WATCHDOG_PID: '7' })).toBe(30_000);
  expect(every({ WATCHDOG_USEC: '60000000', WATCHDOG_PID: '8' })).toBeNull();
});

test('speaks for the service through systemd’s own program', async () => {
  const folder = temporaryFolder();
  const heard = join(folder, 'heard');
  const program = join(folder, 'systemd-notify');
  writeFileSync(program, `#!/bin/sh\necho "$NOTIFY_SOCKET $*" >> ${heard}\n`);
  chmodSync(program, 0o755);
  const environment = { PATH: `${folder}:/usr/bin:/bin`, NOTIFY_SOCKET: '/run/x', SECRET: 'hop-garden' };
  const troubles: string[] = [];
  systemdNotifier(environment, 7, (trouble) => troubles.push(trouble))?.tell('READY=1');
  await until('the program ran', () => existsSync(heard) && readFileSync(heard, 'utf8') === '/run/x --pid=7 READY=1\n');
  expect(troubles).toEqual([]);
});

test('that cannot be had is told once', async () => {
  const troubles: string[] = [];
  const notifier = systemdNotifier({ PATH: temporaryFolder(), NOTIFY_SOCKET: '/run/x' }, 7, (trouble) =>
    troubles.push(trouble),
  );
  notifier?.tell('READY=1');
  await until('it is told', () => troubles.length === 1);
  expect(troubles[0]).toMatch(/^systemd cannot be told READY=1: .*ENOENT/);
});

import { existsSync, rmSync, writeFileSync } from 'node:fs';
import { isInstalled, run } from './command.ts';

/** Debian asks this script whether a freshly installed service may start; 101 means no. */
const POLICY = '/usr/sbin/policy-rc.d';

/**
 * Makes sure that commands exist, installing Debian packages where they do not.
 * @param packages command → package that brings it
 * @throws Error that says what to install, where it cannot be installed from here
 */
export async function ensureCommands(packages: Readonly<Record<string, string>>): Promise<void> {
  const missing = Object.keys(packages).filter((command) => !isInstalled(command));
  if (missing.length === 0) return;
  const wanted = [...new Set(missing.map((command) => packages[command] ?? command))];
  if (process.getuid?.() !== 0 || !isInstalled('apt-get')) {
    throw new Error(
      `These commands are missing: ${missing.join(', ')}. Install them, on Debian with ` +
        `"sudo apt-get install ${wanted.join(' ')}", or run the tests as root on Debian, where they install themselves.`,
    );
  }
  await install(wanted);
}

async function install(packages: readonly string[]): Promise<void> {
  const keepsServicesOff = !existsSync(POLICY);
  if (keepsServicesOff) writeFileSync(POLICY, '#!/bin/sh\nexit 101\n', { mode: 0o755 });
  const env = { DEBIAN_FRONTEND: 'noninteractive' };
  try {
    await run('apt-get', ['update'], { env });
    await run('apt-get', ['install', '--yes', '--no-install-recommends', ...packages], { env, timeoutMs: 600_000 });
  } finally {
    if (keepsServicesOff) rmSync(POLICY);
  }
}

/** Aim: the unit for systemd is well formed, and gives the service little to do harm with. */
import { execFile } from 'node:child_process';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';
import { temporaryFolder } from './support/running-program.ts';

const run = promisify(execFile);
const UNIT = join(import.meta.dirname, '../../deploy/quietkeg.service');
/** Of 10 (a service with every right); in tenths. Below 2 systemd itself says OK. */
const EXPOSURE_TENTHS_MAX = 16;

test('systemd finds no mistake in the unit, and little exposure', async () => {
  const folder = await temporaryFolder();
  try {
    // The program need not be installed here for its unit to be read.
    const text = await readFile(UNIT, 'utf8');
    const here = text
      .replaceAll('/opt/quietkeg/node_modules/.bin/node', '/bin/true')
      .replace(/^WorkingDirectory=.*$/m, '');
    const unit = join(folder.path, 'quietkeg.service');
    await writeFile(unit, here);
    const verified = await run('systemd-analyze', ['verify', unit]);
    expect(verified.stderr.split('\n').filter((line) => line.includes('quietkeg.service'))).toEqual([]);
    const limit = `--threshold=${EXPOSURE_TENTHS_MAX}`;
    const { stdout } = await run('systemd-analyze', ['security', '--offline=true', limit, unit]);
    expect(stdout).toMatch(/Overall exposure level for quietkeg\.service: 1\.\d OK/);
    // The measure can fail: without its hardening the same unit does not pass.
    await writeFile(unit, here.replace(/^(Protect|Restrict|Private|SystemCall|Capability|NoNew).*$/gm, ''));
    await expect(run('systemd-analyze', ['security', '--offline=true', limit, unit])).rejects.toThrow();
  } finally {
    await folder.remove();
  }
});

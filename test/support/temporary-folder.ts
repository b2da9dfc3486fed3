import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';

const made: string[] = [];

/** A new folder that is gone after the test. Call `removeFolders` once in each file that uses it. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'quietkeg-test-'));
  made.push(folder);
  return folder;
}

export function removeFolders(): void {
  afterEach(() => {
    for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true });
  });
}

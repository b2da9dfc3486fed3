import { expect, test } from 'vitest';
import { killRun, type Servers } from './support/kill-run.ts';

/** Twenty kills here; `npx node test/program/kill.ts 200 embedded` (or external) makes two hundred. */
test.each(['embedded', 'external'] as const satisfies readonly Servers[])(
  'every reading that was acknowledged is stored once, however often the service is killed: %s',
  { timeout: 240_000 },
  async (servers) => {
    const seed = Math.floor(Math.random() * 100_000);
    const outcome = await killRun({ kills: 20, servers, seed });
    expect({ seed, ...outcome }).toMatchObject({ seed, lost: [], doubled: [], wrong: [] });
    expect(outcome.acknowledged).toBe(outcome.sent);
    expect(outcome.kept).toBe(outcome.sent);
    // A run in which it never came to listening, or nothing was sent, would show nothing.
    expect(outcome.killedListening).toBeGreaterThan(3);
    expect(outcome.sent).toBeGreaterThan(1000);
  },
);

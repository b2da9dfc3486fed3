import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { expect, test } from 'vitest';

/** Aim: the real command between real pipes, where output waits in the process until the reader takes it. */

const MAIN = new URL('../../src/main.ts', import.meta.url).pathname;

test('10,000 answers reach a slow reader whole, and the exit code tells that all were answered', async () => {
  const program = spawn(process.execPath, [MAIN, 'calculate', '--lines']);
  const exited = once(program, 'exit');
  const request = JSON.stringify({ what: 'air-pressure', altitude: { value: 450, unit: 'm' } });
  program.stdin.end(`${request}\n`.repeat(10_000));

  // Read nothing until all has been taken in: a pipe holds 64 KiB, the answers are over a megabyte.
  await once(program.stdin, 'finish');
  let answers = '';
  program.stdout.setEncoding('utf8');
  for await (const chunk of program.stdout) answers += String(chunk);

  const [code] = await exited;
  expect(code).toBe(0);
  const lines = answers.trimEnd().split('\n');
  expect(lines).toHaveLength(10_000);
  expect(JSON.parse(lines.at(-1) ?? '')).toMatchObject({ what: 'air-pressure' });
});

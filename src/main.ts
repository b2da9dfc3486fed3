#!/usr/bin/env node
import { readFileSync } from 'node:fs';
import { homedir } from 'node:os';
import process from 'node:process';
import { askHidden } from './cli/ask-hidden.ts';
import { run } from './cli/run.ts';

const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));

/** Resolves at the first Ctrl-C or end signal; a second one ends the process at once. */
const stopAsked = new Promise<void>((resolve) => {
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
});

// Whoever reads our output may have had enough, as `head` has: that ends the work, and is no error.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});

const code = await run(process.argv.slice(2), {
  stdin: process.stdin,
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
  errIsTerminal: process.stderr.isTTY === true,
  // A service without a home in its environment has one all the same.
  environment: { ...process.env, HOME: process.env.HOME ?? homedir() },
  version: String(version),
  ...(process.stdin.isTTY && process.stderr.isTTY
    ? { askHidden: (question: string) => askHidden(process.stdin, process.stderr, question) }
    : {}),
  stopAsked,
  onReload: (read) => process.on('SIGHUP', read),
});
/** Resolves when what was written is out. Exiting before would cut off whatever a pipe has not taken yet. */
const writtenOut = (stream: NodeJS.WriteStream) => new Promise<void>((resolve) => stream.write('', () => resolve()));

await Promise.all([writtenOut(process.stdout), writtenOut(process.stderr)]);
process.exit(code);

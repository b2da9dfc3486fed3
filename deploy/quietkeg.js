#!/usr/bin/env node
// Starts the program that was installed. Plain JavaScript: it must run on the Node that happens to be there, to find one that will do.
import { spawn } from 'node:child_process';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';

const NEEDED = 24;
const main = fileURLToPath(new URL('../dist/main.js', import.meta.url));

if (Number.parseInt(process.versions.node, 10) >= NEEDED) {
  process.argv[1] = main;
  await import('../dist/main.js');
} else {
  const child = spawn(broughtNode(), [main, ...process.argv.slice(2)], { stdio: 'inherit' });
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => child.kill(signal));
  child.on('error', () => {
    process.stderr.write(`quietkeg: needs Node ${NEEDED}; this is ${process.versions.node}. Install a newer one.\n`);
    process.exitCode = 78;
  });
  child.on('close', (code, signal) => {
    if (code !== null) process.exitCode = code;
    else if (signal !== null) process.exitCode = 1;
  });
}

/** The Node that comes with the package, if it was installed along. */
function broughtNode() {
  try {
    const found = createRequire(import.meta.url).resolve('node/package.json');
    return join(dirname(found), 'bin', 'node');
  } catch {
    return '/nonexistent/node';
  }
}

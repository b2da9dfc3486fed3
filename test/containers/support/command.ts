import { spawn, spawnSync } from 'node:child_process';

interface RunOptions {
  readonly cwd?: string;
  readonly env?: Readonly<Record<string, string>>;
  /** Longest time (ms) before the command is ended. */
  readonly timeoutMs?: number;
}

/** Runs a command to its end and gives its standard output. Its errors carry the last lines it wrote. */
export async function run(command: string, args: readonly string[], options: RunOptions = {}): Promise<string> {
  const child = spawn(command, args, {
    cwd: options.cwd,
    env: { ...process.env, ...options.env },
    stdio: ['ignore', 'pipe', 'pipe'],
    timeout: options.timeoutMs ?? 300_000,
  });
  let output = '';
  let everything = '';
  child.stdout.on('data', (text: Buffer) => {
    output += text;
    everything += text;
  });
  child.stderr.on('data', (text: Buffer) => {
    everything += text;
  });
  const code = await new Promise<number | null>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', resolve);
  });
  if (code !== 0) {
    const last = everything.trim().split('\n').slice(-25).join('\n');
    throw new Error(`${command} ${args.join(' ')} ended with ${code}:\n${last}`);
  }
  return output.trim();
}

export async function succeeds(command: string, args: readonly string[]): Promise<boolean> {
  return run(command, args, { timeoutMs: 20_000 }).then(
    () => true,
    () => false,
  );
}

export const isInstalled = (command: string): boolean =>
  spawnSync('sh', ['-c', 'command -v "$1"', 'sh', command]).status === 0;

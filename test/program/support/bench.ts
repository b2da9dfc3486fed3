import { afterEach, beforeEach } from 'vitest';
import { NumberedPublisher } from './numbered-publisher.ts';
import { eventually, getJson } from './outside.ts';
import { type RunningProgram, startProgram, temporaryFolder } from './running-program.ts';
import type { RunningServer } from './servers.ts';

/** A folder and what is started around it; all of it ends with the test, the last first. */
export interface Bench {
  /** Of the present test. */
  readonly folder: string;
  undo(step: () => unknown): void;
  server(server: Promise<RunningServer>): Promise<RunningServer>;
  /** The program on this folder. */
  program(environment: Readonly<Record<string, string>>): Promise<RunningProgram>;
  /** A publisher of numbers, whose times lie `stepMs` apart from an hour ago on. */
  publisher(port: number, stepMs?: number): NumberedPublisher;
}

/** A bench for the tests of this file. */
export function aBench(): Bench {
  let folder: Awaited<ReturnType<typeof temporaryFolder>>;
  let steps: (() => unknown)[] = [];
  beforeEach(async () => {
    folder = await temporaryFolder();
    steps = [];
  });
  afterEach(async () => {
    for (const step of steps.toReversed()) await step();
    await folder.remove();
  });
  return {
    get folder() {
      return folder.path;
    },
    undo: (step) => steps.push(step),
    async server(server) {
      const started = await server;
      steps.push(() => started.end('SIGKILL'));
      return started;
    },
    async program(environment) {
      const program = await startProgram({ folder: folder.path, environment });
      steps.push(() => program.end('SIGKILL'));
      return program;
    },
    publisher(port, stepMs = 1) {
      const publisher = new NumberedPublisher(`mqtt://127.0.0.1:${port}`, Date.now() - 3600_000, stepMs);
      steps.push(() => publisher.close());
      return publisher;
    },
  };
}

export const ready = (program: RunningProgram) =>
  eventually(
    () => getJson<{ status: string }>(program, 'health/ready'),
    ({ status }) => status === 'ready',
  );

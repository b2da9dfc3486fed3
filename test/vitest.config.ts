import { defineConfig } from 'vitest/config';

const slow = ['test/containers/**', 'test/web/browser/**', 'test/program/**'];

/** Two projects: `fast` needs nothing but Node; `whole` starts brokers, stores, containers and a browser. */
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    projects: [
      {
        extends: true,
        test: { name: 'fast', include: ['test/**/*.test.{ts,tsx}'], exclude: slow, testTimeout: 10_000 },
      },
      {
        extends: true,
        test: {
          name: 'whole',
          globalSetup: 'test/support/machine.ts',
          include: slow.map((pattern) => `${pattern}/*.test.{ts,tsx}`),
          testTimeout: 60_000,
          // Container tests give their own, longer bounds to the hooks that build images.
          hookTimeout: 60_000,
          maxWorkers: 1,
          fileParallelism: false,
        },
      },
    ],
  },
});

import { defineConfig } from 'vitest/config';

const slow = ['test/containers/**', 'test/web/browser/**', 'test/program/**'];

/** Two projects: `fast` needs nothing but Node; `whole` starts brokers, stores, containers and a browser. */
export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    // `npm run coverage`: what only computes is covered throughout; of the rest coverage shows gaps and is not an aim.
    coverage: {
      provider: 'v8',
      include: ['src/**/*.ts'],
      reportsDirectory: 'coverage',
      reporter: ['text', 'html'],
      thresholds: { 'src/{physics,domain,alerts}/**': { branches: 100, lines: 100, functions: 100, statements: 100 } },
    },
    projects: [
      {
        extends: true,
        test: { name: 'fast', include: ['test/**/*.test.{ts,tsx}'], exclude: slow, testTimeout: 60_000 },
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

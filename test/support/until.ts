/** Longest that a test waits for something to happen (ms). */
const WAIT_MS_MAX = 8000;

/** Resolves to the first answer that is not null, undefined or false; fails after a bound, naming what did not happen. */
export async function until<T>(
  what: string,
  ask: () => T | null | undefined | false | Promise<T | null | undefined | false>,
): Promise<T> {
  const lastMs = performance.now() + WAIT_MS_MAX;
  for (;;) {
    const answer = await ask();
    if (answer !== null && answer !== undefined && answer !== false) return answer;
    if (performance.now() > lastMs) throw new Error(`did not happen within ${WAIT_MS_MAX} ms: ${what}`);
    await new Promise((resolve) => setImmediate(resolve));
  }
}

/** Lets everything that is already on its way through the event loop run. */
export async function settle(turns = 20): Promise<void> {
  for (let turn = 0; turn < turns; turn += 1) await new Promise((resolve) => setImmediate(resolve));
}

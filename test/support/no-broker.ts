import type { Broker } from '../../src/ports/broker.ts';

/** For those who are handed their messages by the test. */
export const NO_BROKER: Broker = {
  watch: () => undefined,
  start: async () => undefined,
  listenTo: async () => undefined,
  publish: () => undefined,
  trouble: () => null,
  stop: async () => undefined,
};

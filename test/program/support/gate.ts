import { connect, createServer, type Socket } from 'node:net';

/** A stretch of network on the way to a server, which can be cut and can swallow what goes through. */
export interface Gate {
  readonly port: number;
  /** Breaks every connection and refuses new ones until `mend`. */
  cut(): void;
  /** Lets connections stand and nothing through, as a pulled cable does, until `mend`. */
  swallow(): void;
  mend(): void;
  close(): Promise<void>;
}

export async function openGate(toPort: number): Promise<Gate> {
  let state: 'open' | 'cut' | 'swallowing' = 'open';
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    if (state === 'cut') {
      near.resetAndDestroy();
      return;
    }
    const far = connect(toPort, '127.0.0.1');
    for (const [from, to] of [
      [near, far],
      [far, near],
    ] as const) {
      sockets.add(from);
      // What is swallowed is lost to both ends, as in a network: the connection is of no more use after it.
      from.on('data', (bytes) => state === 'open' && to.write(bytes));
      from.on('error', () => to.destroy());
      from.on('close', () => {
        sockets.delete(from);
        to.destroy();
      });
    }
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  if (typeof address !== 'object' || address === null) throw new Error('no free port');
  const breakAll = () => {
    for (const socket of sockets) socket.destroy();
  };
  return {
    port: address.port,
    cut() {
      state = 'cut';
      breakAll();
    },
    swallow() {
      state = 'swallowing';
    },
    mend() {
      if (state === 'swallowing') breakAll();
      state = 'open';
    },
    async close() {
      breakAll();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}

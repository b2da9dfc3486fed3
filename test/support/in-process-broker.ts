import { createServer, type Server, type Socket } from 'node:net';
import { Aedes, type AedesPublishPacket } from 'aedes';

/** An MQTT broker of the tests, in this process, on a free port. It keeps sessions while its clients are away. */
export class InProcessBroker {
  readonly aedes: Aedes;
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  #port = 0;
  /** Payloads that a client acknowledged, in order. */
  readonly acknowledged: string[] = [];
  /** Topics and payloads that clients published, in order. */
  readonly published: { readonly topic: string; readonly payload: string; readonly retain: boolean }[] = [];

  private constructor(aedes: Aedes) {
    this.aedes = aedes;
    this.#server = createServer((socket) => {
      this.#sockets.add(socket);
      socket.on('close', () => this.#sockets.delete(socket));
      socket.on('error', () => socket.destroy());
      aedes.handle(socket);
    });
    aedes.on('ack', (packet) => {
      // For an id that it no longer knows, aedes tells of an acknowledgement of nothing.
      const acknowledged = packet as AedesPublishPacket | undefined;
      this.acknowledged.push(acknowledged === undefined ? 'nothing' : String(acknowledged.payload));
    });
    aedes.on('publish', (packet, client) => {
      if (client !== null || !packet.topic.startsWith('$SYS')) {
        this.published.push({ topic: packet.topic, payload: String(packet.payload), retain: packet.retain });
      }
    });
  }

  static async start(): Promise<InProcessBroker> {
    const broker = new InProcessBroker(await Aedes.createBroker());
    await broker.listen();
    return broker;
  }

  /** Listens (again), on the port it had before. */
  async listen(): Promise<void> {
    await new Promise<void>((resolve, reject) => {
      this.#server.once('error', reject);
      this.#server.listen(this.#port, '127.0.0.1', resolve);
    });
    const address = this.#server.address();
    this.#port = typeof address === 'object' && address !== null ? address.port : 0;
  }

  url(): string {
    return `mqtt://127.0.0.1:${this.#port}`;
  }

  /** Publishes as another client would. */
  publish(topic: string, payload: string, { qos = 1 as 0 | 1 | 2, retain = false } = {}): Promise<void> {
    return new Promise((resolve, reject) => {
      const packet = { cmd: 'publish', topic, payload: Buffer.from(payload), qos, retain, dup: false } as const;
      this.aedes.publish(packet, (error) => (error ? reject(error) : resolve()));
    });
  }

  connections(): number {
    return this.#sockets.size;
  }

  /** Cuts every connection, as a network does. */
  cut(): void {
    for (const socket of this.#sockets) socket.destroy();
  }

  /** Takes no more connections and cuts those there are; `listen` ends it. */
  async goAway(): Promise<void> {
    const closed = new Promise<void>((resolve) => this.#server.close(() => resolve()));
    this.cut();
    await closed;
  }

  async stop(): Promise<void> {
    const closed = new Promise<void>((resolve) => this.#server.close(() => resolve()));
    await new Promise<void>((resolve) => this.aedes.close(() => resolve()));
    this.cut();
    await closed;
  }
}
